package interp

import "proofcut/paths/geom"

// minProbeWay is how far from its target a probing move must start: 0.01 inch
// (NISTIR 6556, section 3.5.9, from memory).
const minProbeWay = 0.254

// probe executes G38.2 against the surface of the options and notes in the
// parameters where it tripped.
func (ip *interpreter) probe() error {
	if !ip.line.has(linearAxes) {
		return ip.failG(groupMotion, "G38.2 has none of X, Y and Z: say where to go")
	}
	if ip.comp.on {
		return ip.failG(groupMotion, "probing is not possible while radius compensation is on: write G40 before")
	}
	if ip.st.InverseTime {
		return ip.failG(groupMotion, "probing is not possible under G93: write G94 before")
	}
	if err := ip.needFeed(); err != nil {
		return err
	}
	var to [6]float64
	if err := ip.target(&to); err != nil {
		return err
	}
	if [3]float64(to[3:]) != [3]float64(ip.pos[3:]) {
		return ip.failG(groupMotion, "a rotary axis would move while probing: bring it there before")
	}
	from, end := point(&ip.pos), point(&to)
	if from.Dist(end) < minProbeWay {
		return ip.failG(groupMotion, "the probing move is shorter than %v mm: start further away", minProbeWay)
	}
	if ip.o.Surface == nil {
		return ip.failG(groupMotion, "probing needs a surface to meet: tell the interpreter where the work is")
	}
	at, hit := ip.o.Surface(from, end)
	if !hit {
		return ip.failG(groupMotion, "the probe meets nothing before the end of the move: move further, or nearer to the work first")
	}
	if !at.Finite() || !between(from, end, at) {
		return ip.failG(groupMotion, "the probe surface is broken: it tells a place off the way of the probe")
	}
	to[0], to[1], to[2] = at.X, at.Y, at.Z
	if err := ip.move(Probe, &to); err != nil {
		return err
	}
	for i, v := range ip.pos {
		ip.params[parameterProbe+i] = v - ip.st.Offset[i]
	}
	return nil
}

// between reports whether p lies on the way from a to b within the geometric
// tolerance.
func between(a, b, p geom.Point3) bool {
	return a.Dist(p)+p.Dist(b) <= a.Dist(b)+geom.Tol
}
