package interp

// Ten times the G codes that the interpreter knows by name.
const (
	g0    = 0
	g1    = 10
	g2    = 20
	g3    = 30
	g4    = 40
	g10   = 100
	g17   = 170
	g18   = 180
	g19   = 190
	g20   = 200
	g21   = 210
	g28   = 280
	g30   = 300
	g33_1 = 331
	g38_2 = 382
	g40   = 400
	g41   = 410
	g42   = 420
	g43   = 430
	g49   = 490
	g53   = 530
	g54   = 540
	g59   = 590
	g59_1 = 591
	g59_2 = 592
	g59_3 = 593
	g61   = 610
	g61_1 = 611
	g64   = 640
	g73   = 730
	g74   = 740
	g80   = 800
	g81   = 810
	g82   = 820
	g83   = 830
	g84   = 840
	g85   = 850
	g86   = 860
	g87   = 870
	g88   = 880
	g89   = 890
	g90   = 900
	g91   = 910
	g92   = 920
	g92_1 = 921
	g92_2 = 922
	g92_3 = 923
	g93   = 930
	g94   = 940
	g98   = 980
	g99   = 990
)

// The modal groups of G codes (NISTIR 6556, section 3.4, from memory).
const (
	groupNone = iota // G4, G10, G28, ...: not modal
	groupMotion
	groupPlane
	groupDistance
	groupFeed
	groupUnit
	groupRadius
	groupLength
	groupRetract
	groupSystem
	groupPath
	groups
)

// The modal groups of M codes. Calls and returns of subprograms share the group
// of the stops: both say where the program goes on.
const (
	groupStop = iota
	groupTool
	groupSpindle
	groupCoolant
	groupOverride
	mGroups
)

// In place of a group: the code does not exist, or the machine lacks it.
const (
	notDefined = -1
	lacking    = -2
	notAllowed = -3 // common practice that is not switched on
)

var groupsG = [groups][]int{
	groupNone:     {g4, g10, g28, g30, g53, g92, g92_1, g92_2, g92_3},
	groupMotion:   {g0, g1, g2, g3, g38_2, g80, g81, g82, g83, g84, g85, g86, g87, g88, g89},
	groupPlane:    {g17, g18, g19},
	groupDistance: {g90, g91},
	groupFeed:     {g93, g94},
	groupUnit:     {g20, g21},
	groupRadius:   {g40, g41, g42},
	groupLength:   {g43, g49},
	groupRetract:  {g98, g99},
	groupSystem:   {g54, 550, 560, 570, 580, g59, g59_1, g59_2, g59_3},
	groupPath:     {g61, g61_1, g64},
}

var groupsM = [mGroups][]int{
	groupStop:     {0, 1, 2, 30, 60},
	groupTool:     {6},
	groupSpindle:  {3, 4, 5},
	groupCoolant:  {7, 8, 9},
	groupOverride: {48, 49},
}

// allowed returns the modal group of every code, or why there is none.
func allowed(o *Options) (g [1000]int8, m [100]int8) {
	for i := range g {
		g[i] = notDefined
	}
	for i := range m {
		m[i] = notDefined
	}
	for group, codes := range groupsG {
		for _, c := range codes {
			g[c] = int8(group)
		}
	}
	for group, codes := range groupsM {
		for _, c := range codes {
			m[c] = int8(group)
		}
	}
	practice := func(table []int8, on bool, group int8, codes ...int) {
		if !on {
			group = notAllowed
		}
		for _, c := range codes {
			table[c] = group
		}
	}
	practice(g[:], o.Practice.HighSpeedPeck, groupMotion, g73)
	practice(g[:], o.Practice.RigidTapping, groupMotion, g74, g33_1)
	practice(m[:], o.Practice.Subprograms, groupStop, 98, 99)

	lack := func(table []int8, lacks bool, codes ...int) {
		for _, c := range codes {
			if lacks {
				table[c] = lacking
			}
		}
	}
	l := &o.Lacks
	lack(g[:], l.LengthOffsets, g43)
	lack(g[:], l.RadiusCompensation, g41, g42)
	lack(g[:], l.CannedCycles, g73, g74, g81, g82, g83, g84, g85, g86, g87, g88, g89)
	lack(g[:], l.Arcs, g2, g3)
	lack(g[:], l.OtherPlanes, g18, g19)
	lack(g[:], l.Inch, g20)
	lack(g[:], l.InverseTime, g93)
	lack(g[:], l.PathControl, g61, g61_1, g64)
	lack(g[:], l.Probe, g38_2)
	lack(g[:], l.WorkSystems, groupsG[groupSystem][1:]...)
	lack(g[:], l.MoreSystems, g59_1, g59_2, g59_3)
	lack(g[:], l.SetSystems, g10)
	lack(g[:], l.AxisOffsets, g92, g92_1, g92_2, g92_3)
	lack(g[:], l.Home, g28, g30)
	lack(g[:], l.MachineMoves, g53)
	lack(m[:], l.Mist, 7)
	lack(m[:], l.Flood, 8)
	lack(m[:], l.ToolChange, 6)
	lack(m[:], l.Reverse, 4)
	lack(m[:], l.Overrides, 48, 49)
	lack(m[:], l.OptionalStop, 1)
	lack(m[:], l.Pallet, 60)
	return g, m
}

func isCycle(code int) bool { return code >= g81 && code <= g89 || code == g73 || code == g74 }
func isArc(code int) bool   { return code == g2 || code == g3 }

// usesDwell reports whether the motion takes P.
func usesDwell(code int) bool {
	return code == g82 || code == g86 || code == g88 || code == g89
}

// usesPeck reports whether the motion takes Q.
func usesPeck(code int) bool { return code == g83 || code == g73 }
