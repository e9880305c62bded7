package fastener

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:   "clearance-hole",
		Title:  "Holes and heads of a thread",
		About:  "The hole a bolt passes through in the three fits, the tool sizes its heads are found with, and the face under the head.",
		Method: "The holes are those of the standard; where it has none, 1.05, 1.1 and 1.2 times the diameter. Heads differ by standard and by country: measure before ordering.",
		Inputs: []calc.Input{threadInput()},
		Outputs: []calc.Output{
			{Name: "medium", Title: "Medium hole", Kind: "length", Unit: "mm"},
			{Name: "fine", Title: "Fine hole", Kind: "length", Unit: "mm"},
			{Name: "coarse", Title: "Coarse hole", Kind: "length", Unit: "mm"},
			{Name: "hex_face", Title: "Face under a hexagon head, outside", Kind: "length", Unit: "mm", Digits: 4},
			{Name: "friction_diameter", Title: "Friction diameter under a hexagon head", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "heads", Title: "Heads", Kind: calc.Table, Optional: true, Columns: []calc.Output{
				{Name: "flats", Title: "Across flats", Kind: "length", Unit: "mm"},
				{Name: "kind", Title: "Kind", Kind: calc.Text}}},
		},
		Sources: []calc.Source{
			{Text: "ISO 273, M5 to M16, as reprinted by engineeringhardware.com; other sizes from memory", Known: calc.Published},
			{Text: "ISO 4014, ISO 4162, DIN 931, DIN 6921, ISO 4762, ASME B18.2.1, small hexagons of Japanese vehicles", Known: calc.FromMemory},
		},
		Example: map[string]string{"thread": "M8"},
		Compute: func(in calc.In, a *calc.Answer) error {
			t, err := threadOf(in)
			if err != nil {
				return err
			}
			row, tabulated := headOf(t)
			for _, fit := range []string{"fine", "medium", "coarse"} {
				hole := ClearanceHole(t, fit)
				a.Give(fit, hole)
				if tabulated && row.medium > 0 {
					a.Rest(fit, calc.Tabulated, "ISO 273")
					a.Step("Hole, "+fit, "ISO 273", "%s", lengthText(hole))
				} else {
					a.Step("Hole, "+fit, "a share of the diameter", "%s / %s = %.3g", lengthText(hole), lengthText(t.Major), float64(hole/t.Major))
				}
			}
			face := BearingFace(t, Hex)
			a.Give("hex_face", face)
			a.Give("friction_diameter", FrictionDiameter(t, Hex))
			a.Step("Friction diameter", "(face + medium hole)/2", "= (%s + %s)/2 = %s", mmText(face), mmText(ClearanceHole(t, "medium")), lengthText(FrictionDiameter(t, Hex)))
			for _, h := range HeadSizes(t) {
				a.GiveRow("heads", h.Flats, h.Kind)
			}
			return nil
		},
	}
})

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "joint-load",
		Title: "A bolted joint under a pulling load",
		About: "How much of an outside pull the bolt really sees, when the joint opens, and what is left to clamp.",
		Method: "A tightened joint shares an outside pull: the bolt takes a part C, its stiffness over that of bolt and joint together, and the rest only takes from the clamping. " +
			"When nothing clamps any more the joint opens and the bolt takes all. So a well-tightened bolt hardly feels a pulsing load, and a loose one feels all of it.",
		Inputs: together([]calc.Input{threadInput(), gradeInput(true),
			{Name: "preload", Title: "Preload", Kind: "force", Unit: "kN", Min: "0 N", Max: "10000 kN"},
			{Name: "load", Title: "Pull on one bolt", Kind: "force", Unit: "kN", Min: "0 N", Max: "10000 kN"}}, gripInputs(),
			[]calc.Input{clampedInput("steel"),
				{Name: "bolt_stiffness", Title: "Stiffness of the bolt, if known", Kind: "stiffness", Unit: "N/mm", Min: "1 N/mm", Optional: true},
				{Name: "joint_stiffness", Title: "Stiffness of the joint, if known", Kind: "stiffness", Unit: "N/mm", Min: "1 N/mm", Optional: true}}),
		Outputs: []calc.Output{
			{Name: "share", Title: "Share of the pull the bolt sees, C", Kind: calc.Number},
			{Name: "bolt_force", Title: "Force in the bolt", Kind: "force", Unit: "kN", Digits: 4},
			{Name: "bolt_stress", Title: "Stress in the bolt", Kind: "pressure", Unit: "MPa", Digits: 4},
			{Name: "preload_stress", Title: "Stress from the preload alone", Kind: "pressure", Unit: "MPa", Digits: 4},
			{Name: "clamping", Title: "Left to clamp", Kind: "force", Unit: "kN", Digits: 4},
			{Name: "opens_at", Title: "The joint opens at a pull of", Kind: "force", Unit: "kN", Digits: 4},
			{Name: "bolt_stiffness", Title: "Stiffness of the bolt", Kind: "stiffness", Unit: "N/mm"},
			{Name: "joint_stiffness", Title: "Stiffness of the joint", Kind: "stiffness", Unit: "N/mm", Optional: true},
		},
		Sources: append([]calc.Source{{Text: "Shigley's Mechanical Engineering Design, 9th ed., ch. 8, example 8-3", Known: calc.Published}}, angleSources...),
		Example: map[string]string{"thread": "M10", "class": "8.8", "preload": "25 kN", "load": "8 kN", "grip": "30 mm"},
		Compute: computeJointLoad,
	}
})

func computeJointLoad(in calc.In, a *calc.Answer) error {
	t, err := threadOf(in)
	if err != nil {
		return err
	}
	bolt, joint := in.Stiffness("bolt_stiffness"), in.Stiffness("joint_stiffness")
	if bolt == 0 || joint == 0 {
		reckonedBolt, reckonedJoint, err := stiffnessOf(in, a, t)
		if err != nil {
			return err
		}
		if bolt == 0 {
			bolt = reckonedBolt
		}
		if joint == 0 {
			joint = reckonedJoint
		}
	}
	if !in.Has("joint_stiffness") && clampedOf(in).modulus == 0 {
		return in.Refuse("clamped", "What is clamped: a rigid joint shares nothing; choose a material or give the stiffness.")
	}
	preload, load := in.Force("preload"), in.Force("load")
	share := float64(bolt) / float64(bolt+joint)
	opens := quantity.Force(float64(preload) / (1 - share))
	force, clamping := preload+quantity.Force(share)*load, preload-quantity.Force(1-share)*load
	if load >= opens {
		force, clamping = load, 0
		a.Judge(calc.Bad, "The joint opens at %s: the bolt takes the whole pull.", forceText(opens))
	}
	a.Give("share", share)
	a.Give("bolt_force", force)
	a.Give("clamping", clamping)
	a.Give("opens_at", opens)
	a.Give("bolt_stress", stress(force, t))
	a.Give("preload_stress", stress(preload, t))
	a.Give("bolt_stiffness", bolt)
	a.Give("joint_stiffness", joint)
	a.Step("Share the bolt sees", "C = kb/(kb + km)", "= %s / (%s + %s) = %.3f", stiffnessText(bolt), stiffnessText(bolt), stiffnessText(joint), share)
	a.Step("Force in the bolt", "F + C·P", "= %s + %.3f · %s = %s", forceText(preload), share, forceText(load), forceText(force))
	a.Step("Left to clamp", "F − (1 − C)·P", "= %s", forceText(clamping))
	a.Step("Opens at", "F/(1 − C)", "= %s", forceText(opens))
	if in.Has("class") {
		_, s, err := strengthOf(in, t)
		if err != nil {
			return err
		}
		if stress(force, t) > s.Safe() {
			a.Judge(calc.Bad, "The bolt is past its proof strength of %s.", stressText(s.Safe()))
		}
	}
	return nil
}
