// Package cutdata knows what a cut asks of a cutter: speeds and feeds, chip
// thickness, force, power, deflection and bending stress, for milling with
// flat, ball and vee cutters, for drilling and for tapping, with a table of
// materials whose every value keeps its source and how far it is to be trusted.
//
// Units are millimetres, minutes, newtons, N/mm2, kilowatts and newton metres;
// cutting speed alone is in m/min and a spindle speed in 1/min. Angles are
// radians.
//
// Assess sums it up: a Load holds the figures of one cut next to their limits.
// Its figures err to the safe side: force at the thickest chip on as many teeth
// as can be in the cut at once, all of it at the tip, limits at their lower
// ends. It is a check against broken cutters, not a forecast: the models under
// it agree with measurements to a quarter at best and to a factor of two for
// drills. It knows no chatter, no wear, no chip packing and no heat.
//
// The formulas name their source by these keys. CAR: J. Carvill, Mechanical
// Engineer's Data Handbook, 1993. CAT: trade milling formula pages, 2020 to
// 2022. ELH: H. El-Hofy, Fundamentals of Machining Processes, 2nd ed., 2013.
// KOV: L. Kops and D. T. Vo, CIRP Annals 39, 1990. MH: Machinery's Handbook,
// 31st ed., 2020, pp. 1147 and 1152. TPT: trade tapping torque pages. TRN2 and
// TRN3: trade notes on deep holes. CHG: X. Cheng et al., Int. J. Adv. Manuf.
// Technol. 97, 2018. TUT and TUT2: a university's speed and feed tables and
// drilling notes. Data rows use further keys, listed in data/README.md.
// "From memory", "estimate" and "common practice, no source" are said where
// they apply.
//
// Everything is a function on values and safe to call at the same time. No
// function panics; what has no finite, positive answer is an error or NaN, as
// its comment says.
package cutdata
