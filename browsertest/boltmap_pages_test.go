package browsertest

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lastbolt/internal/browser"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
	"lastbolt/quantity"
	"lastbolt/store/sqlite"
)

// Every page of a bolt map on the demo, in each phase that it can be shown in:
// nothing too small, cut off or hard to read, in all themes.
func TestBoltPagesHaveNoSmallTargetsOverflowOrAxeViolations(t *testing.T) {
	s := demoShop(t)
	half := "/jobs/" + s.jobID(halfApart)
	s.goOn(s.url + half)
	phone, narrow, desk := browser.Phone(t), browser.Narrow(t), browser.Desktop(t)
	item := "?item=oil-cooler"
	bolt := s.linkIn(half+"/bolts/list"+item, `href="([^"]+/bolts/bolt\?[^"]+)"`)
	for name, path := range map[string]string{
		"bolts": half + "/bolts" + item, "bolts-change": half + "/bolts/list" + item, "bolts-start-form": half + "/bolts/start" + item, "bolts-part": half + "/bolts/part" + item,
		"bolts-scale": half + "/bolts/scale" + item, "bolts-adapter": half + "/bolts/adapter" + item, "bolts-torque": half + "/bolts/torque" + item,
		"bolts-bolt": bolt, "bolts-order-page": half + "/bolts/order" + item, "bolts-marks": half + "/bolts/marks" + item,
		"bolts-without": half + "/bolts/without" + item, "wrench": half + "/wrench", "bolts-none": half + "/bolts/start?item=belt",
	} {
		phone.Open(s.at(path))
		fits(t, name+" on a phone", phone)
		phone.Screenshot("phone-" + name)
		for _, v := range phone.Violations() {
			t.Errorf("%s: %s", name, v)
		}
		narrow.Open(s.at(path))
		fits(t, name+" on a narrow phone", narrow)
		desk.Open(s.at(path))
		fits(t, name+" at a desk", desk)
		desk.Screenshot("desk-" + name)
		for _, theme := range []string{"dark", "sun"} {
			if name != "bolts" && name != "bolts-order-page" {
				continue
			}
			phone.Do(`document.documentElement.dataset.theme = "` + theme + `"`)
			phone.Screenshot("phone-" + name + "-" + theme)
			for _, v := range phone.Violations() {
				t.Errorf("%s in %s: %s", name, theme, v)
			}
		}
	}
}

// partPhoto is a drawn photo of a part with four bright bolts on it, turned on
// its side by its camera's note or not.
func partPhoto(t *testing.T) string {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 800, 600))
	draw.Draw(img, img.Bounds(), image.NewUniform(color.RGBA{120, 110, 95, 255}), image.Point{}, draw.Src)
	draw.Draw(img, image.Rect(60, 60, 740, 540), image.NewUniform(color.RGBA{170, 172, 175, 255}), image.Point{}, draw.Src)
	for _, p := range photoBolts {
		for y := -22; y <= 22; y++ {
			for x := -22; x <= 22; x++ {
				if x*x+y*y <= 22*22 {
					img.Set(int(p[0]*800)+x, int(p[1]*800)+y, color.RGBA{230, 225, 190, 255})
				}
			}
		}
	}
	name := filepath.Join(t.TempDir(), "part.jpg")
	file, err := os.Create(name)
	if err == nil {
		err = jpeg.Encode(file, img, nil)
	}
	if err == nil {
		err = file.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return name
}

// photoBolts are the bolts of the photo, in widths of it.
var photoBolts = [][2]float64{{0.15, 0.15}, {0.85, 0.18}, {0.8, 0.6}, {0.2, 0.58}}

// A map on a photo: its scale comes from one distance between two bolts, its
// card is refused until there is one.
func TestABoltMapOnAPhoto(t *testing.T) {
	s, id := coverShop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t), job: s.url + "/jobs/" + id}
	tab := h.tab
	h.open("/bolts/start?item=cover")
	tab.Fill("How many bolts?", "4")
	tab.Upload("input[type=file]", partPhoto(t))
	tab.Tap("Go on to the bolts")
	tab.WaitText("0 of 4 on it")
	tab.WaitFor("the photo under the map", `document.querySelector(".bolts image")`)
	for i, p := range photoBolts {
		tab.TapAt(".bolts image", p[0], p[1]*800/600)
		tab.WaitFor("the bolt", `document.querySelectorAll(".hole").length === `+itoa(i+1))
	}
	if answer, body := s.get(h.path("/paper/boltcard?item=cover")); answer.StatusCode != 422 || !strings.Contains(string(body), "has no scale") {
		t.Errorf("a card without a scale is answered with %d", answer.StatusCode)
	}
	tab.Tap("not known yet")
	h.form("Keep the scale", map[string]string{"From bolt": "1", "To bolt": "2", "Distance": "140"})
	tab.WaitText("140 mm known")
	tab.ScreenshotScreen("bolts-on-photo")
	h.papers(map[string]string{"boltcard": "Places come from a photo"})
}

// A joint of the brakes: an advice value is refused, the maker's is taken, and
// every bolt is looked over again in another order before the step is finished.
func TestASafetyJointIsCheckedAgain(t *testing.T) {
	s, _ := coverShop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t), job: s.url + "/jobs/" + caliperJob(t, s)}
	tab := h.tab
	h.open("/bolts?item=caliper")
	tab.WaitText("Write the torque down")
	tab.ScreenshotScreen("bolts-no-torque")
	tab.Tap("Write the torque down")
	if tab.Has("common practice") {
		t.Error("on a joint of the brakes common practice is offered as a source")
	}
	tab.Screenshot("bolts-torque-critical")
	tab.Fill("Torque", "30 N·m")
	tab.Tap("maker's document")
	tab.Tap("Keep it")
	tab.WaitText("Name the maker's document")
	tab.Fill("Document and page", "sheet 21 (invented)")
	tab.Tap("Keep it")
	tab.WaitText("Choose the wrench")
	tab.Tap("Choose the wrench")
	tab.Tap("main label:has(input[name='take:0'])")
	tab.Tap("Take these")
	tab.WaitText("above the wrench's largest") // 30 of 25, said in the pass before
	for range 2 {
		tab.Tap("clicked")
	}
	tab.WaitText("does not do")
	tab.ScreenshotScreen("bolts-wrench-out-of-range")
	tab.Tap("Choose another wrench")
	tab.Tap("main label:has(input[name='take:1'])")
	tab.Tap("Take these")
	for range 2 {
		tab.Tap("clicked")
	}
	tab.WaitText("re-check, in another order")
	tab.ScreenshotScreen("bolts-re-check")
	fits(t, "a re-check", tab)
	h.open("")
	for range 2 {
		h.open("/bolts?item=caliper")
		tab.Tap("holds")
	}
	tab.WaitText("All 2 tight")
}

// caliperJob adds a job on a brake caliper with two bolts, run in and ready to tighten.
func caliperJob(t *testing.T, s *server) string {
	t.Helper()
	var id string
	m, err := access.Parse("caliper.yaml", []byte(strings.NewReplacer("cover-van", "caliper-van", "id: cover\n", "id: caliper\n    critical: brakes\n", "Cooler cover", "Caliper",
		"count: 9", "count: 2", "source: maker's document", "source: common practice", ", where: sheet 3 (invented)", "").Replace(coverMap)))
	if err != nil {
		t.Fatal(err)
	}
	_ = s.cmd.Process.Kill()
	_ = s.cmd.Wait()
	s.fill(func(ctx context.Context, st *sqlite.Store) error {
		plan, err := opening.Make(ctx, opening.Request{Map: m, Targets: []opening.Target{{Item: "caliper", Action: access.AccessOnly}}})
		if err != nil {
			return err
		}
		ids := job.NewIDs(time.Now, rand.NewChaCha8([32]byte{9}))
		book := job.NewBook(st, &job.Recorder{Now: time.Now, NewID: ids.New, By: "test"})
		state, err := book.Start(ctx, job.Started{Title: "Caliper", Vehicle: "Invented van"})
		if err != nil {
			return err
		}
		id = state.ID
		do := func(a job.Action) {
			if err == nil {
				state, err = book.Do(ctx, id, a)
			}
		}
		do(job.UsePlan(plan, m, 1, nil))
		do(job.ChangeBoltMap(job.BoltMapSet{Item: "caliper", Count: 2, From: &job.Point{}, To: &job.Point{X: 1}, Distance: quantity.MustParse[quantity.Length]("120 mm")}))
		do(job.SetBolt(job.BoltSet{Item: "caliper", At: &job.Point{X: 0.2, Y: 0.5}}))
		do(job.SetBolt(job.BoltSet{Item: "caliper", At: &job.Point{X: 0.8, Y: 0.5}}))
		if err != nil {
			return err
		}
		order, err := job.WorkOutBolts(ctx, state.BoltMap("caliper"), 2, false)
		if err != nil {
			return err
		}
		do(job.OrderBolts(order))
		both := order.Loosen
		do(job.TurnBolts(job.BoltTurned{Item: "caliper", Bolts: both, Turn: job.Cracked}))
		do(job.TurnBolts(job.BoltTurned{Item: "caliper", Bolts: both, Turn: job.TakenOut}))
		do(func(r *job.Recorder, s *job.State) ([]job.Event, error) {
			d := s.BoltsDone(s.BoltMap("caliper"))
			return job.DoStep(d)(r, s)
		})
		do(func(r *job.Recorder, s *job.State) ([]job.Event, error) {
			return job.DoStep(job.StepDone{Step: s.Next.ID})(r, s)
		})
		do(job.TurnBolts(job.BoltTurned{Item: "caliper", Bolts: both, Turn: job.RunIn}))
		return err
	})
	s.start(strings.TrimPrefix(s.url, "http://"))
	return id
}

// Places that the access map gives are offered, and make the map with one tap.
func TestABoltMapBeginsFromThePlacesOfTheAccessMap(t *testing.T) {
	var places []string
	for _, b := range nine {
		places = append(places, fmt.Sprintf("%g x %g mm", b.x, b.y))
	}
	s, id := coverShopWith(t, strings.Replace(coverMap, "thread: M6,", "thread: M6, at: ["+strings.Join(places, ", ")+"],", 1))
	h := &hand{t: t, s: s, tab: browser.Phone(t), job: s.url + "/jobs/" + id}
	h.open("/bolts/start?item=cover")
	h.tab.WaitText("The access map says where 9 bolts are")
	h.tab.ScreenshotScreen("bolts-known")
	fits(t, "a map begun from the access map", h.tab)
	h.tab.Tap("Take them")
	h.tab.WaitText("9 of 9 on it")
	h.places()
}
