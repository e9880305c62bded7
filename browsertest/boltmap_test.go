package browsertest

import (
	"context"
	"fmt"
	"image"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"lastbolt/garage"
	"lastbolt/internal/browser"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
	"lastbolt/store/sqlite"
)

// coverMap is an invented van with one cover on nine bolts.
const coverMap = `format: lastbolt access map 1
id: cover-van
name: Invented van, cooler cover
invented: true
items:
  - id: cover
    name: Cooler cover
    ways:
      - id: off
        minutes: {off: [4, 5, 8], on: [6, 8, 12]}
        tools: [10 mm socket]
        fasteners:
          - {id: cover-bolts, name: Cover bolts, count: 9, thread: M6, head: 10 mm hex, torque: {value: 10 N·m, source: maker's document, where: sheet 3 (invented)}}
        single_use: none
        consumables: none
        fluids: none
`

// nine are nine bolts at uneven places of a sheet of 170 by 136 mm, of three
// lengths. The first five are tapped, the others typed.
var nine = []struct {
	x, y   float64
	length string
}{
	{20, 15, "25 mm"}, {75, 10, "25 mm"}, {130, 22, "35 mm"}, {152, 60, "25 mm"}, {138, 101, "50 mm"},
	{96, 118, "25 mm"}, {48, 112, "35 mm"}, {12, 84, "50 mm"}, {14, 47, "25 mm"},
}

const sheetWide, sheetHigh = 170.0, 136.0

// coverShop starts the program on a planned job of the cover, with two torque
// wrenches on the shelf.
func coverShop(t *testing.T) (*server, string) {
	t.Helper()
	return coverShopWith(t, coverMap)
}

// coverShopWith is coverShop with another map of the same items.
func coverShopWith(t *testing.T, mapText string) (*server, string) {
	t.Helper()
	browser.Start(t)
	s := &server{t: t, dir: filepath.Join(t.TempDir(), "shop")}
	var id string
	s.fill(func(ctx context.Context, st *sqlite.Store) error {
		edit := garage.Edit{At: time.Now(), Note: "for the test"}
		if _, _, err := garage.NewMaps(st).Save(ctx, "cover.yaml", []byte(mapText), edit); err != nil {
			return err
		}
		shelf := garage.Shelf{Tools: []string{"10 mm socket", "torque wrench 2–25 N·m, ±4 %, hand 270 mm", "torque wrench 20–120 N·m, ±4 %, hand 440 mm"}}
		if _, err := garage.SaveShelf(ctx, st, shelf, edit); err != nil {
			return err
		}
		m, err := access.Parse("cover.yaml", []byte(mapText))
		if err != nil {
			return err
		}
		plan, err := opening.Make(ctx, opening.Request{Map: m, Targets: []opening.Target{{Item: "cover", Action: access.AccessOnly}}})
		if err != nil {
			return err
		}
		ids := job.NewIDs(time.Now, rand.NewChaCha8([32]byte{7}))
		book := job.NewBook(st, &job.Recorder{Now: time.Now, NewID: ids.New, By: "test"})
		state, err := book.Start(ctx, job.Started{Title: "Cover leaks", Vehicle: "Invented van"})
		if err != nil {
			return err
		}
		id = state.ID
		_, err = book.Do(ctx, id, job.UsePlan(plan, m, 1, nil))
		return err
	})
	s.start("127.0.0.1:0")
	return s, id
}

// Nine unevenly placed bolts of three lengths, on a phone: mapped from the new
// part, carded, out, and back in two passes; a wrench out of range and a swap
// are caught on the way.
func TestABoltMapFromNewPartToTightCover(t *testing.T) {
	s, id := coverShop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t), job: s.url + "/jobs/" + id}
	h.wrenchOutOfRange()
	places := h.mapBolts()
	h.cardIsTrue(places)
	h.boltsOut()
	h.boltsIn()
	h.boltsTight()
	h.boltRecord()
}

// wrenchOutOfRange takes the large wrench for small bolts, and is told before
// the work starts.
func (h *hand) wrenchOutOfRange() {
	h.t.Helper()
	tab := h.tab
	h.open("/wrench")
	tab.Tap("main label:has(input[name='take:1'])")
	tab.Screenshot("bolts-wrench")
	tab.Tap("Take these")
	tab.WaitText("Get ready")
	tab.WaitText("10 N·m is out of the wrench's range")
	tab.WaitText("On the shelf, and would do: torque wrench 2–25 N·m")
	tab.Screenshot("bolts-ready-out-of-range")
	h.open("/wrench")
	tab.WaitText("out of range")
	tab.Tap("main label:has(input[name='take:1'])")
	tab.Tap("main label:has(input[name='take:0'])")
	tab.Tap("Take these")
	tab.WaitGone("out of the wrench's range")
}

// mapBolts builds the map: five bolts tapped, four typed. It returns where the
// page says each lies, in millimetres.
func (h *hand) mapBolts() [][2]float64 {
	h.t.Helper()
	tab := h.tab
	h.open("")
	tab.Tap("[data-main]") // to get ready
	tab.Tap("[data-main]") // to the step
	if got := h.heading(); got != "Cooler cover" {
		h.t.Fatalf("the step is %q", got)
	}
	tab.Tap("Bolt map")
	tab.Screenshot("bolts-start")
	h.form("Go on to the bolts", map[string]string{"How many bolts?": "9", "how wide": "170 mm", "And how high?": "136 mm"})
	tab.WaitText("0 of 9 on it")
	for i, b := range nine[:5] {
		tab.TapAt(".bolts .sheet", b.x/sheetWide, b.y/sheetHigh)
		tab.WaitText(fmt.Sprintf("%d of 9 on it", i+1))
	}
	tab.TapAt(".bolts .sheet", nine[0].x/sheetWide, nine[0].y/sheetHigh) // on a bolt: leads to it, adds none
	tab.WaitText("Take it off the map")
	tab.Back()
	tab.WaitText("5 of 9 on it")
	tab.ScreenshotScreen("bolts-five-tapped")
	tab.Tap("Write places instead")
	var lines []string
	for _, b := range nine[5:] {
		lines = append(lines, fmt.Sprintf("%g, %g, %s", b.x, b.y, b.length))
	}
	tab.Fill("Places", strings.Join(lines, "\n"))
	tab.Tap("Put them on the map")
	tab.WaitText("9 of 9 on it")
	tab.Tap("Not this one")
	tab.TapAt(".bolts .sheet", 0.5, 0.5)
	tab.WaitFor("the look-alike on the map", `document.querySelectorAll(".hole.is-keep").length === 1`)
	fits(h.t, "the map being built", tab)
	tab.Screenshot("bolts-built")
	tab.Tap("Part and seal")
	tab.Tap("thin casting")
	tab.Tap("flat gasket")
	tab.Tap("Keep it")
	tab.Tap("That is all 9")
	tab.WaitText("Worked out on a model")
	tab.WaitText("Pass 2, full")
	tab.Screenshot("bolts-order")
	tab.Tap("To the map")
	return h.places()
}

var placePattern = regexp.MustCompile(`(-?[\d.]+), (-?[\d.]+) mm`)

// places are the bolts' places as the page lists them, by number.
func (h *hand) places() [][2]float64 {
	h.t.Helper()
	h.tab.Tap("Every bolt, as a list")
	var out [][2]float64
	for _, row := range h.tab.Texts("table tbody tr") {
		m := placePattern.FindStringSubmatch(row)
		if m == nil {
			continue // the look-alike
		}
		x, _ := strconv.ParseFloat(m[1], 64)
		y, _ := strconv.ParseFloat(m[2], 64)
		out = append(out, [2]float64{x, y})
	}
	if len(out) != len(nine) {
		h.t.Fatalf("the page lists %d places: %q", len(out), h.tab.Texts("table tbody tr"))
	}
	for i, b := range nine {
		slack := 1.0 // a finger on a screen of 390 px
		if i >= 5 {
			slack = 0.05
		}
		if d := math.Hypot(out[i][0]-b.x, out[i][1]-b.y); d > slack {
			h.t.Errorf("bolt %d lies at %v, want %g, %g within %g mm", i+1, out[i], b.x, b.y, slack)
		}
	}
	return out
}

// cardIsTrue prints the bolt card and measures it: drawn out at 600 dots to the
// inch, each hole has to lie where the map says, to 0.2 mm.
func (h *hand) cardIsTrue(places [][2]float64) {
	h.t.Helper()
	words := h.s.paper(h.path("/paper/boltcard?item=cover"))
	if words != "" && !strings.Contains(words, "100 mm: measure it") {
		h.t.Errorf("the card has no rule to measure:\n%s", words)
	}
	draw, err := exec.LookPath("pdftoppm")
	if err != nil {
		h.t.Log("the card was not measured: pdftoppm is missing (apt-get install -y poppler-utils)")
		return
	}
	_, body := h.s.get(h.path("/paper/boltcard?item=cover"))
	if folder := os.Getenv("LASTBOLT_SHOTS"); folder != "" {
		_ = os.WriteFile(filepath.Join(folder, "bolt-card.pdf"), body, 0o600)
	}
	const dots = 600.0
	card := filepath.Join(h.t.TempDir(), "card.pdf")
	writeFile(h.t, card, body)
	if out, err := exec.Command(draw, "-r", "600", "-gray", "-png", "-singlefile", card, card).CombinedOutput(); err != nil {
		h.t.Fatalf("the card could not be drawn: %v %s", err, out)
	}
	file, err := os.Open(card + ".png")
	if err != nil {
		h.t.Fatal(err)
	}
	defer file.Close()
	page, err := png.Decode(file)
	if err != nil {
		h.t.Fatal(err)
	}
	k := 25.4 / dots
	first := findHole(page, k, nil)
	if first == nil {
		h.t.Fatal("the hole of bolt 1 is not on the card")
	}
	for i, p := range places[1:] {
		want := [2]float64{first[0] + p[0] - places[0][0], first[1] + p[1] - places[0][1]}
		got := findHole(page, k, want[:])
		if got == nil {
			h.t.Errorf("within 2 mm of where bolt %d belongs there is no hole of 6 mm on the card", i+2)
			continue
		}
		if d := math.Hypot(got[0]-want[0], got[1]-want[1]); d > 0.2 {
			h.t.Errorf("the hole of bolt %d lies %.3f mm off on the card", i+2, d)
		}
	}
}

// findHole finds the middle of a hole of 6 mm in a drawn page, in millimetres:
// the place about near whose circle is blackest. Without near it is the
// uppermost hole of the left third, where bolt 1 is drawn.
func findHole(page image.Image, k float64, near []float64) []float64 {
	ink := func(x, y float64) float64 {
		r, _, _, _ := page.At(int(math.Round(x/k)), int(math.Round(y/k))).RGBA()
		return 1 - float64(r)/0xffff
	}
	around := func(x, y float64) float64 {
		sum := 0.0
		for a := range 72 {
			sin, cos := math.Sincos(float64(a) * math.Pi / 36)
			sum += ink(x+3*cos, y+3*sin)
		}
		return sum / 72
	}
	x0, x1, y0, y1 := 16.0, 75.0, 50.0, 120.0
	if near != nil {
		x0, x1, y0, y1 = near[0]-2, near[0]+2, near[1]-2, near[1]+2
	}
	for _, step := range []float64{0.3, 0.05} {
		best, bx, by := 0.0, 0.0, 0.0
		for y := y0; y <= y1; y += step {
			for x := x0; x <= x1; x += step {
				if v := around(x, y); v > best+1e-9 {
					best, bx, by = v, x, y
				}
			}
			if near == nil && step > 0.1 && best > 0.6 && y > by+3 {
				break // the uppermost hole; those below are other bolts'
			}
		}
		if best < 0.5 {
			return nil
		}
		x0, x1, y0, y1 = bx-0.4, bx+0.4, by-0.4, by+0.4
		near = []float64{bx, by}
		if step < 0.1 {
			return near
		}
	}
	return nil
}

// number is the bolt in hand, from the page's heading.
func (h *hand) number() int {
	h.t.Helper()
	m := regexp.MustCompile(`(?:bolt|hole) (\d+)$`).FindStringSubmatch(h.heading())
	if m == nil {
		h.t.Fatalf("the heading %q names no bolt", h.heading())
	}
	n, _ := strconv.Atoi(m[1])
	return n
}

// boltsOut cracks all nine, then takes them out with their lengths.
func (h *hand) boltsOut() {
	h.t.Helper()
	tab := h.tab
	h.open("/bolts?item=cover")
	tab.WaitText("crack them all first")
	tab.ScreenshotScreen("bolts-crack")
	fits(h.t, "a bolt to crack", tab)
	for range nine {
		tab.Tap(fmt.Sprintf("Bolt %d cracked", h.number()))
	}
	tab.WaitText("take them out")
	seen := map[string]bool{}
	for i := range nine {
		n := h.number()
		length := nine[n-1].length
		if i == 4 {
			tab.ScreenshotScreen("bolts-out")
			fits(h.t, "a bolt to take out", tab)
		}
		switch {
		case n > 5: // written with the place
			tab.Tap(fmt.Sprintf("Bolt %d out, %s", n, length))
		case seen[length]:
			tab.Tap(fmt.Sprintf(".lengths button[value='%s']", length))
		default:
			tab.Fill("input[name=other]", strings.TrimSuffix(length, " mm"))
			tab.Tap(fmt.Sprintf("Bolt %d out", n))
		}
		seen[length] = true
		for _, b := range nine[5:] {
			seen[b.length] = true
		}
	}
	tab.WaitText("every bolt had its turn")
	tab.WaitText("5 × 25 mm, 2 × 35 mm, 2 × 50 mm")
	tab.ScreenshotScreen("bolts-all-out")
	tab.Tap("All 9 out")
}

// boltsIn runs them in; one bolt is held to the wrong hole first.
func (h *hand) boltsIn() {
	h.t.Helper()
	tab := h.tab
	h.open("")
	tab.Tap("[data-main]") // the work
	if got := h.act(); got != "Cooler cover" {
		h.t.Fatalf("after the work the step is %q", got)
	}
	tab.ScreenshotScreen("bolts-step-up")
	tab.Tap("Bolt by bolt")
	tab.WaitText("run them in by hand")
	tab.Tap("50 mm (2)")
	if n := h.number(); nine[n-1].length != "50 mm" {
		h.t.Errorf("with a bolt of 50 mm in hand the map leads to hole %d", n)
	}
	tab.ScreenshotScreen("bolts-in-hand")
	tab.Tap("#bolt-1")
	tab.WaitText("Not that one: hole 1 takes 25 mm, in your hand is 50 mm.")
	tab.ScreenshotScreen("bolts-swap")
	fits(h.t, "a swap", tab)
	tab.Tap("Take the 25 mm")
	for range nine {
		n := h.number()
		tab.Tap(fmt.Sprintf("%s in hole %d", nine[n-1].length, n))
	}
}

// boltsTight tightens in two passes.
func (h *hand) boltsTight() {
	h.t.Helper()
	tab := h.tab
	for pass, set := range []string{"5.0", "10.0"} {
		tab.WaitText(fmt.Sprintf("pass %d of 2", pass+1))
		for i := range nine {
			if got := tab.Text(".number-value"); got != set {
				h.t.Fatalf("pass %d: the number is %q, want %q", pass+1, got, set)
			}
			if i == 4 {
				tab.ScreenshotScreen(fmt.Sprintf("bolts-pass-%d", pass+1))
				fits(h.t, "a bolt to tighten", tab)
			}
			tab.Tap(fmt.Sprintf("Bolt %d clicked", h.number()))
		}
	}
	tab.WaitText("tight, by the map")
	tab.ScreenshotScreen("bolts-all-tight")
	tab.Tap("All 9 tight")
}

// boltRecord reads what was kept.
func (h *hand) boltRecord() {
	h.t.Helper()
	words := h.s.paper(h.path("/paper/record"))
	if words == "" {
		return
	}
	for _, want := range []string{"9 out, 9 back", "in 2 passes", "torque wrench 2–25 N·m", "pass 1 5.0 N·m", "pass 2 10.0 N·m"} {
		if !strings.Contains(words, want) {
			h.t.Errorf("the record does not say %q:\n%.3000s", want, words)
		}
	}
	h.open("/bolts?item=cover")
	h.tab.WaitText("all tight")
	h.tab.Screenshot("bolts-done")
}

// Without scripts the map is built by typed places, and stepped through.
func TestABoltMapWithoutScripts(t *testing.T) {
	s, id := coverShop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t), job: s.url + "/jobs/" + id}
	tab := h.tab
	tab.WithoutScripts()
	h.open("/bolts/start?item=cover")
	h.form("Go on to the bolts", map[string]string{"How many bolts?": "4", "how wide": "100 mm", "And how high?": "100 mm"})
	tab.Tap("Write places instead")
	tab.Fill("Places", "12 on 80\n3 on 80\n6:00 on 80\n9 o'clock on 80\nnonsense")
	tab.Tap("Put them on the map")
	tab.WaitText(`Line 5, "nonsense"`)
	tab.Tap("That is all 4")
	tab.Tap("To the map")
	for range 4 {
		tab.Tap(fmt.Sprintf("Bolt %d cracked", h.number()))
	}
	tab.WaitText("take them out")
	tab.Tap("Undo: ")
	tab.WaitText("crack them all first")
	tab.WaitText("3 of 4")
}
