package access

import (
	"fmt"
	"strings"

	"lastbolt/quantity"
	"pgregory.net/rapid"
)

// oneLine draws texts that are hard to write down: quotes, colons, comments,
// numbers, words YAML reads as something else, other scripts, emoji.
func oneLine() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.SampledFrom([]string{
			"10 mm socket", "off", "none", "null", "~", "8.8", "1e3", "-", "- a", "a: b", "a #b", "# a", "[a]", "{a: b}", "it's", `"`, "'", `\`, " a ", "a\tb",
			"<<", "&a", "*a", "!a", "%a", "@a", "`a", "|", ">", "?", "0x10", "12:30", "=", "ключ на 10", "مفتاح", "扳手", "🔧", "🇩🇪 é", "é", "\u2028", "\u00a0a", "true", "No",
		}),
		rapid.StringOfN(rapid.RuneFrom([]rune(" abcXY019,:#-[]{}'\"\\&*!|>%@`?~é世🔧")), 1, 30, -1),
		rapid.StringOfN(rapid.RuneFrom([]rune("ab ")), 90, 300, -1),
	).Filter(func(s string) bool { return strings.TrimSpace(s) != "" })
}

func note() *rapid.Generator[string] {
	return rapid.OneOf(oneLine(), rapid.Just(""), rapid.Map(rapid.SliceOfN(oneLine(), 2, 4), func(l []string) string { return strings.Join(l, "\n") }))
}

func optional(t *rapid.T, label string) string {
	return rapid.OneOf(rapid.Just(""), oneLine()).Draw(t, label)
}

func span() *rapid.Generator[Span] {
	return rapid.Custom(func(t *rapid.T) Span {
		low := float64(rapid.IntRange(0, 200).Draw(t, "low")) / 4
		likely := low + float64(rapid.IntRange(0, 40).Draw(t, "more"))/4
		return Span{low, likely, likely + float64(rapid.IntRange(0, 40).Draw(t, "most"))/8}
	})
}

func listOf[T any](g *rapid.Generator[T]) *rapid.Generator[List[T]] {
	return rapid.Custom(func(t *rapid.T) List[T] {
		var l List[T]
		if l.Given = rapid.Bool().Draw(t, "given"); l.Given {
			l.Items = rapid.SliceOfN(g, 0, 3).Draw(t, "items")
			if len(l.Items) == 0 {
				l.Items = nil
			}
		}
		return l
	})
}

func drawTool(t *rapid.T) Tool { return Tool{Any: rapid.SliceOfN(oneLine(), 1, 3).Draw(t, "any")} }

func drawPiece(t *rapid.T) Piece {
	return Piece{Name: oneLine().Draw(t, "name"), Count: rapid.IntRange(0, 9).Draw(t, "count"), Number: optional(t, "number"), Size: optional(t, "size")}
}

func drawConsumable(t *rapid.T) Consumable {
	return Consumable{Name: oneLine().Draw(t, "name"), Amount: optional(t, "amount"), For: rapid.SampledFrom([]string{"", "back", "off"}).Draw(t, "for")}
}

func drawFluid(t *rapid.T) Fluid {
	f := Fluid{Name: oneLine().Draw(t, "name"), From: optional(t, "from"), Reuse: rapid.Bool().Draw(t, "reuse")}
	if rapid.Bool().Draw(t, "known") {
		f.Amount = quantity.MustParse[quantity.Volume](rapid.SampledFrom([]string{"3.2 L", "0,5 L", "20 ml"}).Draw(t, "amount"))
	}
	f.Minutes = rapid.SampledFrom([]Span{{}, {2, 2, 2}, {5, 8, 15}}).Draw(t, "filling")
	return f
}

func drawFasteners(t *rapid.T) List[Fastener] {
	l := listOf(rapid.Custom(func(t *rapid.T) Fastener {
		f := Fastener{
			Name: optional(t, "name"), Count: rapid.IntRange(1, 30).Draw(t, "count"), Thread: optional(t, "thread"), Head: optional(t, "head"),
			Class: rapid.SampledFrom([]string{"", "8.8", "10.9"}).Draw(t, "class"), Loosen: rapid.Bool().Draw(t, "loosen"), Notes: note().Draw(t, "notes"),
		}
		if rapid.Bool().Draw(t, "known") {
			f.Torque = Torque{
				Value:  quantity.MustParse[quantity.Torque](rapid.SampledFrom([]string{"8 N·m", "6 lbf·ft", "72 lbf·in"}).Draw(t, "torque")),
				Source: rapid.SampledFrom(Sources).Draw(t, "source"), Then: optional(t, "then"), Where: optional(t, "where"),
			}
			f.Length = quantity.MustParse[quantity.Length](rapid.SampledFrom([]string{"25 mm", "1 1/2 in"}).Draw(t, "length"))
			for i := range f.Count {
				spot, err := ParseSpot(fmt.Sprintf("%d x %d mm", 10*i, rapid.IntRange(0, 400).Draw(t, "down")))
				if err != nil {
					t.Fatal(err)
				}
				f.At = append(f.At, spot)
			}
		}
		return f
	})).Draw(t, "fasteners")
	for i := range l.Items {
		l.Items[i].ID = fmt.Sprint("f", i)
	}
	return l
}

// drawNeed draws a need for items that come before the one that has it.
func drawNeed(t *rapid.T, before []string, deep int) Need {
	item := Need{Item: rapid.SampledFrom(before).Draw(t, "item"), Way: rapid.SampledFrom([]string{"", "", "w0"}).Draw(t, "way")}
	kind := rapid.IntRange(0, 5).Draw(t, "kind")
	if deep > 2 || kind > 1 {
		return item
	}
	var list []Need
	for range rapid.IntRange(1, 3).Draw(t, "parts") {
		list = append(list, drawNeed(t, before, deep+1))
	}
	if kind == 0 {
		return Need{Any: list}
	}
	return Need{All: list}
}

// drawMap draws a map without errors.
func drawMap(t *rapid.T) *Map {
	m := &Map{Format: Format, ID: "m", Name: oneLine().Draw(t, "name"), About: note().Draw(t, "about"), Invented: rapid.Bool().Draw(t, "invented")}
	m.Positions = []Position{{ID: "above", Name: oneLine().Draw(t, "position")}, {ID: "below", Name: "From below"}}
	if rapid.Bool().Draw(t, "set up") {
		m.SetUp = SetUp{Position: 2, Tool: 0.5, Between: []Transfer{{From: "above", To: "below", Minutes: 3}}}
	}
	var ids []string
	for i := range rapid.IntRange(1, 6).Draw(t, "items") {
		it := Item{
			ID: fmt.Sprint(rapid.SampledFrom([]string{"item", "off", "n", "ключ", "世"}).Draw(t, "id"), "-", i), Name: oneLine().Draw(t, "name"), Area: optional(t, "area"),
			Immobile: rapid.Bool().Draw(t, "immobile"), Critical: optional(t, "critical"), Notes: note().Draw(t, "notes"),
		}
		if rapid.Bool().Draw(t, "condition") {
			it.Kind, it.Repeats = Condition, rapid.Bool().Draw(t, "repeats")
		}
		for j := range rapid.IntRange(1, 2).Draw(t, "ways") {
			it.Ways = append(it.Ways, drawWay(t, fmt.Sprint("w", j), ids))
		}
		if rapid.Bool().Draw(t, "has work") {
			it.Work = []Work{drawWork(t, ids)}
		}
		m.Items = append(m.Items, it)
		ids = append(ids, it.ID)
	}
	return m
}

func drawWay(t *rapid.T, id string, before []string) Way {
	w := Way{
		ID: id, Name: optional(t, "name"), Kind: rapid.SampledFrom([]WayKind{"", Off, Aside}).Draw(t, "kind"), Hands: rapid.SampledFrom([]string{"", "above"}).Draw(t, "hands"),
		People: rapid.IntRange(0, 2).Draw(t, "people"), Minutes: BothWays{span().Draw(t, "off"), span().Draw(t, "on")}, Guess: rapid.Bool().Draw(t, "guess"), Notes: note().Draw(t, "notes"),
		Tools: listOf(rapid.Custom(drawTool)).Draw(t, "tools"), Fasteners: drawFasteners(t), SingleUse: listOf(rapid.Custom(drawPiece)).Draw(t, "single use"),
		Consumables: listOf(rapid.Custom(drawConsumable)).Draw(t, "consumables"), Fluids: listOf(rapid.Custom(drawFluid)).Draw(t, "fluids"),
	}
	if rapid.Bool().Draw(t, "wait") {
		w.Wait = &Wait{Kind: "cool", Minutes: span().Draw(t, "wait"), Source: optional(t, "source")}
	}
	if rapid.Bool().Draw(t, "opens") {
		w.Opens = []Joint{{Kind: rapid.SampledFrom(JointKinds).Draw(t, "joint"), Name: optional(t, "joint name"), Seal: drawSeal(t)}}
		w.Hazards = []string{rapid.SampledFrom(HazardIDs).Draw(t, "hazard")}
		w.Trouble = []Trouble{{What: oneLine().Draw(t, "what"), Odds: float64(rapid.IntRange(0, 100).Draw(t, "odds")) / 100, Minutes: 5, Needs: []Piece{drawPiece(t)}, Tools: []string{oneLine().Draw(t, "tool")}}}
	}
	if len(before) > 0 && rapid.Bool().Draw(t, "needs") {
		w.Needs = []Need{drawNeed(t, before, 0)}
		w.Back.Still = rapid.SampledFrom([][]string{nil, {}}).Draw(t, "still")
	}
	if rapid.Bool().Draw(t, "cure") {
		w.Back.Wait = &Wait{Kind: "cure", Minutes: span().Draw(t, "cure")}
		w.Back.BeforeFilling = rapid.Bool().Draw(t, "filling")
		w.Back.Notes = note().Draw(t, "back notes")
	}
	return w
}

func drawWork(t *rapid.T, before []string) Work {
	w := Work{Action: rapid.SampledFrom(Actions).Draw(t, "action"), Minutes: span().Draw(t, "minutes"), Guess: rapid.Bool().Draw(t, "guess"), Parts: listOf(rapid.Custom(drawPiece)).Draw(t, "parts"), Notes: note().Draw(t, "notes")}
	w.Needs = rapid.SampledFrom([][]Need{nil, {}}).Draw(t, "needs")
	if len(before) > 0 && rapid.Bool().Draw(t, "own needs") {
		w.Needs = []Need{drawNeed(t, before, 0)}
	}
	if rapid.Bool().Draw(t, "test") {
		low, high := -0.25, 14.5
		w.Tests = []Test{{Name: oneLine().Draw(t, "test name"), Unit: "V", Low: &low, High: &high, Source: NotKnown}, {Name: "Free play", Unit: "mm", High: &high}}
	}
	return w
}

func drawSeal(t *rapid.T) Seal {
	return Seal{Kind: rapid.SampledFrom(append([]string{""}, SealKinds...)).Draw(t, "seal"), Size: optional(t, "seal size"),
		Material: rapid.SampledFrom(append([]string{""}, SealMaterials...)).Draw(t, "seal material")}
}
