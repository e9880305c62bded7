package parts

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"lastbolt/web/draw"

	"github.com/a-h/templ"
)

func render(t *testing.T, c templ.Component, children ...templ.Component) string {
	t.Helper()
	ctx := context.Background()
	if len(children) > 0 {
		ctx = templ.WithChildren(ctx, templ.Join(children...))
	}
	var b strings.Builder
	if err := c.Render(ctx, &b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// everything is one page with every piece on it.
func everything(t *testing.T) string {
	t.Helper()
	field := func(f FieldInfo) templ.Component {
		f.Hint, f.Error = "a hint", "a mistake: mend it so"
		return Field(f)
	}
	kinds := []string{"", "number", "area", "select", "check", "date"}
	var pieces []templ.Component
	for _, kind := range kinds {
		pieces = append(pieces, field(FieldInfo{Name: "field" + kind, Label: "Label " + kind, Type: kind, Options: Options("a", "A")}))
	}
	for s := NoSource; s <= Unknown; s++ {
		pieces = append(pieces, Number(NumberInfo{Value: "5.0", Unit: "N·m", Source: s, Note: "sheet 4"}))
	}
	for _, w := range []Word{WordDanger, WordWarning, WordCaution, WordNotice} {
		pieces = append(pieces, Caution(CautionInfo{Word: w, Title: "title", Text: "text", Stop: "it moves", Source: "common practice, no source"}))
	}
	pieces = append(pieces,
		Valley(draw.Valley{Wide: true, NoReturn: -1, Down: []draw.Knot{{Label: "Undertray", Href: "/1"}}}),
		Choices(FieldInfo{Name: "drive", Label: "Drive", Options: Options("1", "one", "2", "two")}),
		PhotoInput(PhotoInfo{Name: "photo", Label: "Photo"}),
		Search("/s", "q", "Find"), Progress(1, 0, "Steps"), Timer("2030-01-01T10:00:00Z", "Skins"),
		Facts([]Fact{{Label: "Thread", Value: "M6", Source: Measured}, {Label: "Points", Source: Unknown}}),
		ErrorBox(ErrorInfo{What: "w", Where: "a.yaml:1:2", Mend: "m", Href: "/x"}),
		Empty(EmptyInfo{Title: "None", Act: Link{Label: "Add", Href: "/add"}}),
		StageTabs([]Tab{{Label: "Plan", Href: "/", Current: true}, {Label: "Find", Href: "/", Done: true}}),
		Table(TableInfo{Head: []Column{{Label: "Bolt"}, {Label: "Torque", Num: true}}, Rows: [][]Cell{{{Text: "a"}, {Text: "b", Source: Maker}, {Text: "one too many"}}}}),
		Band(BandInfo{Low: "8", High: "11", Unit: "N·m", Source: Practice}),
		Action(ActionInfo{URL: "/e", Label: "Up", Hold: "stands under both sides, pushed", Main: true}),
		UndoLine(ActionInfo{URL: "/u", Label: "belt"}), ShareButton("Send", "List", "2 seals"), ReadAloudButton(),
	)
	return render(t, Page(PageInfo{Title: "All", Section: Shelf, Theme: "sun", Live: "/live", IdleURL: "/again", BackHref: "/back", Toast: "Recorded", Awake: true}), pieces...)
}

func TestPagesWorkUnderAStrictPolicy(t *testing.T) {
	html := everything(t)
	for name, pattern := range map[string]string{
		"style attribute":  `<[^>]+\sstyle=`,
		"style element":    `<style`,
		"inline script":    `<script[^>]*>[^<]`,
		"event attribute":  `<[^>]+\son[a-z]+=`,
		"foreign resource": `(src|href)="https?:`,
	} {
		if found := regexp.MustCompile(pattern).FindString(html); found != "" {
			t.Errorf("%s: %s", name, found)
		}
	}
}

func TestEveryInputHasItsLabelAndItsNotes(t *testing.T) {
	html := everything(t)
	ids := map[string]int{}
	for _, m := range regexp.MustCompile(`\sid="([^"]*)"`).FindAllStringSubmatch(html, -1) {
		ids[m[1]]++
		if ids[m[1]] > 1 {
			t.Errorf("id %q stands twice", m[1])
		}
	}
	for _, attr := range []string{"for", "aria-describedby", "list"} {
		found := regexp.MustCompile(`\s`+attr+`="([^"]*)"`).FindAllStringSubmatch(html, -1)
		if len(found) == 0 {
			t.Errorf("no %s at all", attr)
		}
		for _, m := range found {
			for _, id := range strings.Fields(m[1]) {
				if ids[id] == 0 {
					t.Errorf("%s names %q, which is not on the page", attr, id)
				}
			}
		}
	}
}

func TestSourcesLookDifferent(t *testing.T) {
	seen := map[string]Source{}
	for s := Maker; s <= Unknown; s++ {
		html := render(t, SourceMark(s, ""))
		if !strings.Contains(html, ">"+templ.EscapeString(s.Word())+"<") {
			t.Errorf("the mark of %d does not say %q", s, s.Word())
		}
		shape := regexp.MustCompile(`(?s)<svg.*</svg>`).FindString(html)
		if other, ok := seen[shape]; ok || shape == "" {
			t.Errorf("%q has the shape of %q", s.Word(), other.Word())
		}
		seen[shape] = s
	}
}

func TestAnEstimateNeverLooksLikeASpecification(t *testing.T) {
	tests := []struct {
		source      Source
		big         bool
		has, hasNot string
	}{
		{Maker, true, "5.0", "dashed"},
		{Published, true, "5.0", "dashed"},
		{Measured, true, "5.0", "dashed"},
		{Computed, false, "is-computed", ""},
		{Practice, false, "advice", "number-value"},
		{Unknown, false, "not known", "5.0"},
	}
	for _, tt := range tests {
		html := render(t, Number(NumberInfo{Value: "5.0", Unit: "N·m", Source: tt.source}))
		if big := strings.Contains(html, `<div class="number"`); big != tt.big {
			t.Errorf("%s: in the big type is %v, want %v", tt.source.Word(), big, tt.big)
		}
		if !strings.Contains(html, tt.has) || tt.hasNot != "" && strings.Contains(html, tt.hasNot) {
			t.Errorf("%s: want %q and not %q in %s", tt.source.Word(), tt.has, tt.hasNot, html)
		}
	}
}

func TestHoldingHasABoxToTickWithoutScripts(t *testing.T) {
	html := render(t, Action(ActionInfo{URL: "/e", Label: "Up", Hold: "stands under both sides, pushed", Main: true}))
	if !regexp.MustCompile(`type="checkbox" name="confirmed" value="yes" required`).MatchString(html) {
		t.Errorf("no required box: %s", html)
	}
	if strings.Count(html, "stands under both sides, pushed") < 2 {
		t.Error("the check must be stated on the box and on the button")
	}
}

func TestWhatPeopleTypeIsEscaped(t *testing.T) {
	evil := `"><script>alert(1)</script>`
	html := render(t, Facts([]Fact{{Label: evil, Value: evil, Href: "javascript:alert(1)"}})) +
		render(t, Field(FieldInfo{Name: "n", Label: evil, Value: evil, Hint: evil, Error: evil})) +
		render(t, Field(FieldInfo{Name: "n", Type: "area", Value: `</textarea>` + evil})) +
		render(t, ShareButton(evil, evil, evil))
	if strings.Contains(html, "<script") {
		t.Errorf("a script came through: %s", html)
	}
	if strings.Contains(html, "javascript:") {
		t.Errorf("a script address came through: %s", html)
	}
}

func TestFiguresAreNotTypedIntoANumberInput(t *testing.T) {
	html := render(t, Field(FieldInfo{Name: "n", Label: "Count", Type: "number", Mode: "numeric"}))
	if strings.Contains(html, `type="number"`) || !strings.Contains(html, `inputmode="numeric"`) {
		t.Errorf("want a text input with a keypad: %s", html)
	}
}
