package browsertest

import (
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// A wheel is a pulley of the drive that is photographed, in millimetres from
// the crank, y up.
type wheel struct {
	name        string
	x, y, r     float64
	rim, turns  string
	moves, crnk bool
}

var wheels = []wheel{
	{name: "crank", r: 75, rim: "grooved", crnk: true},
	{name: "steering pump", x: 210, y: 120, r: 65, rim: "grooved", turns: "same"},
	{name: "generator", x: -180, y: 260, r: 29, rim: "grooved", turns: "same"},
	{name: "water pump", x: 10, y: 190, r: 60, rim: "plain", turns: "opposite"},
	{name: "compressor", x: -200, y: 20, r: 60, rim: "grooved", turns: "same"},
	{name: "tensioner", x: -95, y: 130, r: 35, rim: "plain", moves: true},
}

// The photo shows 700 by 560 mm at two pixels a millimetre.
const (
	photoWide, photoHigh = 700.0, 560.0
	crankX, crankY       = 330.0, 400.0
	pixels               = 2.0
)

// place is where a wheel is on the photo, in shares of its width.
func (w wheel) place() (x, y float64) { return (crankX + w.x) / photoWide, (crankY - w.y) / photoWide }

// driveFile draws a photo of the drive.
func driveFile(t *testing.T) string {
	t.Helper()
	img := image.NewGray(image.Rect(0, 0, photoWide*pixels, photoHigh*pixels))
	for i := range img.Pix {
		img.Pix[i] = 90
	}
	for _, w := range wheels {
		cx, cy, r := (crankX+w.x)*pixels, (crankY-w.y)*pixels, w.r*pixels
		for y := int(cy - r); y <= int(cy+r); y++ {
			for x := int(cx - r); x <= int(cx+r); x++ {
				if d := math.Hypot(float64(x)-cx, float64(y)-cy); d <= r {
					img.SetGray(x, y, color.Gray{Y: uint8(150 + 80*(d/r))})
				}
			}
		}
	}
	name := filepath.Join(t.TempDir(), "drive.jpg")
	f, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := jpeg.Encode(f, img, nil); err != nil {
		t.Fatal(err)
	}
	return name
}

// tapPicture taps a place on the page's picture, in shares of its width.
func tapPicture(tab *browser.Tab, x, y float64) {
	tab.Do(fmt.Sprintf(`const svg = document.querySelector("[data-tap-picture] svg"), b = svg.getBoundingClientRect();
		svg.dispatchEvent(new MouseEvent("click", {bubbles: true, clientX: b.left + %v * b.width, clientY: b.top + %v * b.width}));`, x, y))
}

// A belt is recorded from a photo, its run is lost, and the finder brings it
// back from the length on the belt.
func TestABeltIsRecordedLostAndFound(t *testing.T) {
	s := demoShop(t)
	h := s.onJob("Alternator", browser.Phone(t))
	tab := h.tab
	h.open("/step?id=down%2Fbelt")
	tab.WaitText("How the belt runs")
	tab.Tap("Record how it runs")
	tab.Upload("input[type=file]", driveFile(t))
	tab.Tap("Keep the photo")
	tab.WaitFor("the photo on the belt's page", `document.querySelector("[data-tap-picture] image")`)
	tab.Tap("Add a pulley")
	for i, w := range wheels {
		if i > 0 {
			tab.Tap("Add a pulley")
		}
		x, y := w.place()
		tapPicture(tab, x, y)
		tapPicture(tab, x+w.r/photoWide, y)
		tab.WaitText("Both places are marked")
		tab.Fill("What it turns", w.name)
		tab.Fill("main select[name=surface]", w.rim)
		if w.turns != "" {
			tab.Fill("main select[name=turns]", w.turns)
		}
		if w.moves {
			tab.Tap("It moves to tighten the belt")
		}
		tab.Tap("Keep the pulley")
	}
	tab.Screenshot("belt-pulleys")
	tab.Tap("Set the scale")
	x, y := wheels[0].place()
	tapPicture(tab, x-wheels[0].r/photoWide, y)
	tapPicture(tab, x+wheels[0].r/photoWide, y)
	tab.Fill("How far apart", "150 mm")
	tab.Tap("Keep the scale")

	tab.Tap("Record how it runs")
	recorded := []string{"crank", "tensioner", "compressor", "generator", "water pump", "steering pump"}
	for _, name := range recorded {
		tab.Tap(name)
	}
	tab.Screenshot("belt-follow")
	tab.Tap("Back at the crank")
	tab.WaitText("In the direction it travels")
	order := tab.Text("main .facts dd")
	if want := "crank > tensioner (back) > compressor > generator > water pump (back) > steering pump"; !strings.Contains(order, want) {
		t.Fatalf("the run recorded is shown as %q, want %q", order, want)
	}
	tab.Screenshot("belt-recorded")
	if found := slices.Concat(tab.SmallTargets(), tab.Overflow()); len(found) > 0 {
		t.Errorf("on the belt's page: %s", strings.Join(found, "; "))
	}

	// The run is lost; the length on the belt and the pulleys are left.
	tab.Tap("Length, ribs, way of turning")
	tab.Fill("Length as marked", "1875 mm")
	tab.Tap("[data-main]")
	h.open("/belt/run?item=belt")
	tab.Tap("Start again")
	h.open("/belt?item=belt")
	tab.WaitText("is not recorded yet")
	tab.Tap("Find how it ran")
	tab.WaitText("This is it")
	first := tab.Text("main section.card h2")
	if first != "crank > tensioner (back) > compressor > generator > water pump (back) > steering pump" {
		t.Errorf("the likeliest run is %q", first)
	}
	tab.WaitText("Easily mistaken for it")
	tab.Screenshot("belt-found")
	tab.Tap("This is it")
	tab.WaitText("computed")
	h.open("/step?id=up%2Fbelt")
	tab.WaitText("Found by computing, not seen")
	tab.Screenshot("belt-step-up")
	h.open("/belt?item=belt")
	tab.Axe() // last: it skips where the checker is not installed
}
