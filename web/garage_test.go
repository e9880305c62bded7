package web_test

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/store/memory"
	"lastbolt/web"
)

const demoMap = "/maps/tern-van-14"

var (
	inputTag  = regexp.MustCompile(`<input [^>]*>`)
	areaTag   = regexp.MustCompile(`(?s)<textarea ([^>]*)>(.*?)</textarea>`)
	selectTag = regexp.MustCompile(`(?s)<select ([^>]*)>(.*?)</select>`)
	optionTag = regexp.MustCompile(`<option ([^>]*)>`)
	formTag   = regexp.MustCompile(`(?s)<form [^>]*action="([^"]*)"[^>]*>(.*?)</form>`)
)

func attribute(tag, name string) string {
	m := regexp.MustCompile(`\s` + name + `="([^"]*)"`).FindStringSubmatch(" " + tag)
	if m == nil {
		return ""
	}
	return html.UnescapeString(m[1])
}

// formOf reads the form of a page that is posted to action, as a browser would
// send it untouched.
func formOf(t *testing.T, page, action string) url.Values {
	t.Helper()
	for _, f := range formTag.FindAllStringSubmatch(page, -1) {
		if html.UnescapeString(f[1]) != action {
			continue
		}
		values := url.Values{}
		for _, tag := range inputTag.FindAllString(f[2], -1) {
			kind, name := attribute(tag, "type"), attribute(tag, "name")
			if (kind == "checkbox" || kind == "radio") && !strings.Contains(tag, " checked") || kind == "file" {
				continue
			}
			values.Add(name, attribute(tag, "value"))
		}
		for _, a := range areaTag.FindAllStringSubmatch(f[2], -1) {
			values.Add(attribute(a[1], "name"), strings.ReplaceAll(html.UnescapeString(a[2]), "\n", "\r\n"))
		}
		for _, s := range selectTag.FindAllStringSubmatch(f[2], -1) {
			for _, o := range optionTag.FindAllStringSubmatch(s[2], -1) {
				if strings.Contains(o[1], " selected") {
					values.Add(attribute(s[1], "name"), attribute(o[1], "value"))
				}
			}
		}
		return values
	}
	t.Fatalf("no form is posted to %s in\n%s", action, page)
	return nil
}

func newestMap(t *testing.T, st *memory.Store, id string) (*access.Map, garage.Document) {
	t.Helper()
	m, d, err := garage.NewMaps(st).Load(context.Background(), id)
	if err != nil {
		t.Fatal(err)
	}
	return m, d
}

func wants(t *testing.T, w *httptest.ResponseRecorder, status int, words ...string) {
	t.Helper()
	text := html.UnescapeString(w.Body.String())
	if w.Code != status {
		t.Errorf("status %d, want %d: %s", w.Code, status, text)
	}
	for _, word := range words {
		if !strings.Contains(text, word) {
			t.Errorf("the page does not say %q: %s", word, text)
		}
	}
}

func upload(t *testing.T, h http.Handler, path, name string, content []byte, fields url.Values) *httptest.ResponseRecorder {
	t.Helper()
	var body bytes.Buffer
	m := multipart.NewWriter(&body)
	for k := range fields {
		if err := m.WriteField(k, fields.Get(k)); err != nil {
			t.Fatal(err)
		}
	}
	if name != "" {
		f, err := m.CreateFormFile("file", name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write(content); err != nil {
			t.Fatal(err)
		}
	}
	if err := m.Close(); err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest("POST", path, &body)
	r.Header.Set("Content-Type", m.FormDataContentType())
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func TestEveryPageOfTheGarageOpens(t *testing.T) {
	h, _, st := demoPages(t)
	m, _ := newestMap(t, st, "tern-van-14")
	paths := []string{"/maps", "/new/map", "/import/map", demoMap, demoMap + "?q=belt", demoMap + "?q=nothing+such", demoMap + "?version=1", demoMap + "/map.yaml",
		demoMap + "/drawing.svg", demoMap + "/about", demoMap + "/add-item", "/vehicles", "/vehicles?q=none", "/new/vehicle", "/vehicles/tern-1", "/vehicles/tern-1/edit", "/shelf", "/shelf/text", "/shelf.txt"}
	for i := range m.Items {
		at := demoMap + "/items/" + m.Items[i].ID
		paths = append(paths, at, at+"/edit", at+"/way", at+"/work")
		for _, w := range m.Items[i].Ways {
			paths = append(paths, at+"/way?id="+url.QueryEscape(w.ID))
		}
		for _, w := range m.Items[i].Work {
			paths = append(paths, at+"/work?action="+url.QueryEscape(string(w.Action)))
		}
	}
	for _, path := range paths {
		w := get(t, h, path)
		if w.Code != http.StatusOK || w.Body.Len() == 0 {
			t.Errorf("%s: status %d, %d bytes", path, w.Code, w.Body.Len())
		}
		if strings.Contains(w.Header().Get("Content-Type"), "html") && regexp.MustCompile(`\sstyle="|<script>|\son[a-z]+="|about:invalid`).MatchString(w.Body.String()) {
			t.Errorf("%s has something inline, or a link that is no link", path)
		}
	}
	for _, path := range []string{"/maps/none", demoMap + "/items/none", demoMap + "/items/none/way", demoMap + "/items/undertray/way?id=none", demoMap + "/items/undertray/work?action=none", demoMap + "?version=99", "/vehicles/none"} {
		wants(t, get(t, h, path), http.StatusNotFound, "Not here")
	}
}

func TestEmptyGaragePagesSayWhatWouldStandThere(t *testing.T) {
	h := emptyPages(t)
	wants(t, get(t, h, "/maps"), http.StatusOK, "No map yet")
	wants(t, get(t, h, "/vehicles"), http.StatusOK, "No vehicle yet")
	wants(t, get(t, h, "/shelf"), http.StatusOK, "Nothing on the shelf yet")
}

func TestAnUntouchedWayFormChangesNothing(t *testing.T) {
	h, _, st := demoPages(t)
	before, _ := newestMap(t, st, "tern-van-14")
	want := string(before.Encode())
	kept := 0
	for i := 0; i < len(before.Items); i += 7 { // each way alone is tried without pages
		it := &before.Items[i]
		for j := range it.Ways {
			path := demoMap + "/items/" + it.ID + "/way?id=" + url.QueryEscape(it.Ways[j].ID)
			w := post(t, h, path, formOf(t, get(t, h, path).Body.String(), path))
			if w.Code != http.StatusSeeOther {
				t.Fatalf("%s: status %d: %s", path, w.Code, w.Body)
			}
			kept++
		}
		path := demoMap + "/items/" + it.ID + "/edit"
		if w := post(t, h, path, formOf(t, get(t, h, path).Body.String(), path)); w.Code != http.StatusSeeOther {
			t.Fatalf("%s: status %d: %s", path, w.Code, w.Body)
		}
		kept++
	}
	if w := post(t, h, demoMap+"/about", formOf(t, get(t, h, demoMap+"/about").Body.String(), demoMap+"/about")); w.Code != http.StatusSeeOther {
		t.Fatalf("about: status %d: %s", w.Code, w.Body)
	}
	after, d := newestMap(t, st, "tern-van-14")
	if d.Version != kept+2 {
		t.Errorf("version %d after %d forms", d.Version, kept+1)
	}
	if got := string(after.Encode()); got != want {
		t.Errorf("the map changed:\n%s", firstDifference(got, want))
	}
}

func firstDifference(got, want string) string {
	a, b := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return fmt.Sprintf("line %d\n got %s\nwant %s", i+1, a[i], b[i])
		}
	}
	return fmt.Sprintf("%d lines, want %d", len(a), len(b))
}

func TestAWayIsWrittenOnAPhone(t *testing.T) {
	h, _, st := demoPages(t)
	form := url.Values{"base": {"1"}, "name": {"Heat shield 🔧 <b>"}, "kind": {"part"}, "area": {"exhaust"}, "needs": {"undertray\r\nEngine cold or battery"}, "off.likely": {"4"}, "on.low": {"2,5"}, "on.likely": {"3"}, "on.high": {"9"}}
	w := post(t, h, demoMap+"/add-item", form)
	if w.Code != http.StatusSeeOther {
		t.Fatalf("status %d: %s", w.Code, w.Body)
	}
	m, d := newestMap(t, st, "tern-van-14")
	it := m.Item("heat-shield-b")
	if it == nil || d.Version != 2 {
		t.Fatalf("version %d has no such item", d.Version)
	}
	path := demoMap + "/items/heat-shield-b/way?id=off"
	form = formOf(t, get(t, h, path).Body.String(), path)
	for k, v := range map[string]string{
		"fastener.0.count": "3", "fastener.0.name": "Shield bolts", "fastener.0.thread": "M6", "fastener.0.length": "16 mm", "fastener.0.torque": "8 Nm", "fastener.0.source": "own measurement",
		"tools": "10 mm socket or 10 mm spanner\r\ntorch", "piece.none": "yes", "opens.0.kind": "guard", "hazard:hot": "yes",
		"trouble.0.what": "Bolt shears", "trouble.0.odds": "1 in 8", "trouble.0.needs": "2 x M6 bolt; size 16 mm", "back.mode": "these", "people": "2",
	} {
		form.Set(k, v)
	}
	wants(t, post(t, h, path, form), http.StatusSeeOther)
	m, _ = newestMap(t, st, "tern-van-14")
	way := m.Item("heat-shield-b").Way("off")
	if f := way.Fasteners.Items; len(f) != 1 || f[0].ID != "shield-bolts" || f[0].Count != 3 || f[0].Torque.Value.String() != "8 N·m" {
		t.Errorf("fasteners: %+v", f)
	}
	if !way.SingleUse.None() || way.Consumables.Given || way.People != 2 || way.Back.Still == nil || len(way.Back.Still) != 0 {
		t.Errorf("none and blank: %+v", way)
	}
	if len(way.Tools.Items) != 2 || len(way.Tools.Items[0].Any) != 2 || len(way.Needs) != 2 || len(way.Needs[1].Any) != 2 {
		t.Errorf("tools %+v, needs %+v", way.Tools, way.Needs)
	}
	if tr := way.Trouble; len(tr) != 1 || tr[0].Odds != 0.125 || tr[0].Needs[0].Count != 2 || tr[0].Needs[0].Size != "16 mm" {
		t.Errorf("trouble: %+v", tr)
	}
	page := get(t, h, demoMap+"/items/heat-shield-b").Body.String()
	if strings.Contains(page, "🔧 <b>") || !strings.Contains(page, "🔧 &lt;b&gt;") {
		t.Error("the name is not escaped")
	}
}

func TestWhatIsWrongOnAWayStandsAtItsFieldAndNothingTypedIsLost(t *testing.T) {
	h, _, st := demoPages(t)
	for _, test := range []struct{ name, field, value, says string }{
		{"unknown item", "needs", "Engien cover", `Did you mean "Engine cover"?`},
		{"itself", "needs", "breather", "needs itself out of the way"},
		{"order of minutes", "off.low", "20", "not in order"},
		{"not a number", "on.high", "-4", "not a number from 0 up"},
		{"count", "fastener.0.count", "many", "not a whole number"},
		{"count of none", "fastener.0.count", "0", "count them"},
		{"torque unit", "fastener.0.torque", "8", "unit"},
		{"torque of another kind", "fastener.0.torque", "8 mm", "8 mm"},
		{"huge torque", "fastener.0.torque", "90000 N·m", "look it up again"},
		{"none and some", "fastener.none", "yes", "None is ticked"},
		{"odds", "trouble.0.odds", "often", "Write it as in 1 in 8"},
		{"still and needs", "still", "engine-cover", "still fitted and out of the way at once"},
		{"people", "people", "40", "People is 40"},
		{"wait for nothing", "back.waitfor", "battery", "no wait"},
	} {
		t.Run(test.name, func(t *testing.T) {
			path := demoMap + "/items/breather/way?id=off"
			form := formOf(t, get(t, h, path).Body.String(), path)
			form.Set(test.field, test.value)
			form.Set("notes", "typed <in> vain?")
			w := post(t, h, path, form)
			if !strings.Contains(strings.ToLower(html.UnescapeString(w.Body.String())), strings.ToLower(test.says)) {
				t.Errorf("the page does not say %q", test.says)
			}
			wants(t, w, http.StatusUnprocessableEntity, "Not kept yet", "typed <in> vain?")
			if got := formOf(t, w.Body.String(), path).Get(test.field); got != test.value {
				t.Errorf("%s came back as %q, want %q", test.field, got, test.value)
			}
			if !strings.Contains(w.Body.String(), `class="field-error"`) || !regexp.MustCompile(`href="#[fe]-`+regexp.QuoteMeta(test.field)).MatchString(w.Body.String()) {
				t.Error("no field is marked, or the top of the page does not lead to it")
			}
		})
	}
	if _, d := newestMap(t, st, "tern-van-14"); d.Version != 1 {
		t.Errorf("version %d: something wrong was kept", d.Version)
	}
}

func TestAnotherLineKeepsWhatWasTyped(t *testing.T) {
	h, _, _ := demoPages(t)
	path := demoMap + "/items/undertray/way?id=off"
	form := formOf(t, get(t, h, path).Body.String(), path)
	before := strings.Count(get(t, h, path).Body.String(), ".thread\"")
	form.Set("more", "fastener")
	form.Set("fastener.2.name", "half typ")
	w := post(t, h, path, form)
	wants(t, w, http.StatusOK, "half typ")
	if after := strings.Count(w.Body.String(), ".thread\""); after <= before {
		t.Errorf("%d marks of rows, was %d", after, before)
	}
}

func TestAStaleEditIsRefusedWithWhatWasTyped(t *testing.T) {
	h, _, st := demoPages(t)
	for _, path := range []string{demoMap + "/items/undertray/way?id=off", demoMap + "/items/undertray/edit", demoMap + "/about"} {
		first := formOf(t, get(t, h, path).Body.String(), path)
		second := formOf(t, get(t, h, path).Body.String(), path)
		first.Set("notes", "first")
		wants(t, post(t, h, path, first), http.StatusSeeOther)
		second.Set("notes", "second hand")
		second.Set("about", "second hand")
		w := post(t, h, path, second)
		wants(t, w, http.StatusConflict, "was changed while you were typing", "second hand")
		again := formOf(t, w.Body.String(), path)
		wants(t, post(t, h, path, again), http.StatusSeeOther)
	}
	m, _ := newestMap(t, st, "tern-van-14")
	if got := m.Item("undertray").Way("off").Notes; got != "second hand" {
		t.Errorf("notes are %q", got)
	}
}

func TestAnItemThatOthersNeedIsNotTakenOff(t *testing.T) {
	h, _, st := demoPages(t)
	wants(t, post(t, h, demoMap+"/items/undertray/remove", url.Values{"base": {"1"}}), http.StatusUnprocessableEntity, `"Undertray" is still mentioned by`, "Nothing was taken out")
	wants(t, post(t, h, demoMap+"/add-item", url.Values{"base": {"1"}, "name": {"Loose thing"}, "kind": {"part"}, "off.likely": {"1"}, "on.likely": {"1"}}), http.StatusSeeOther)
	wants(t, post(t, h, demoMap+"/items/loose-thing/remove", url.Values{"base": {"1"}}), http.StatusConflict, "changed in the meantime")
	wants(t, post(t, h, demoMap+"/items/loose-thing/remove-way", url.Values{"base": {"2"}, "id": {"off"}}), http.StatusUnprocessableEntity, "no way to get it out of the way")
	wants(t, post(t, h, demoMap+"/items/loose-thing/remove", url.Values{"base": {"2"}}), http.StatusSeeOther)
	if m, d := newestMap(t, st, "tern-van-14"); m.Item("loose-thing") != nil || d.Version != 3 {
		t.Errorf("version %d still has it", d.Version)
	}
	wants(t, get(t, h, demoMap+"/items/loose-thing?version=2"), http.StatusOK, "Loose thing")
}

func TestAnOlderVersionIsShownAndMadeNewestAgain(t *testing.T) {
	h, _, st := demoPages(t)
	form := formOf(t, get(t, h, demoMap+"/about").Body.String(), demoMap+"/about")
	form.Set("name", "Renamed")
	wants(t, post(t, h, demoMap+"/about", form), http.StatusSeeOther)
	w := get(t, h, demoMap+"?version=1")
	wants(t, w, http.StatusOK, "This is version 1", "Make this the newest")
	wants(t, post(t, h, demoMap+"/restore", formOf(t, w.Body.String(), demoMap+"/restore")), http.StatusSeeOther)
	m, d := newestMap(t, st, "tern-van-14")
	if d.Version != 3 || m.Name == "Renamed" {
		t.Errorf("version %d is %q", d.Version, m.Name)
	}
	wants(t, post(t, h, demoMap+"/restore", url.Values{"version": {"1"}, "base": {"1"}}), http.StatusConflict)
}

func TestAStarterBecomesAMapOfOnesOwn(t *testing.T) {
	h := emptyPages(t)
	id := access.Starters()[0].ID
	wants(t, post(t, h, "/new/map", url.Values{"name": {"شاحنة"}}), http.StatusUnprocessableEntity, "at least one starter", "شاحنة")
	wants(t, post(t, h, "/new/map", url.Values{"starter:" + id: {"yes"}}), http.StatusUnprocessableEntity, "Write what the map is of")
	form := url.Values{"name": {"شاحنة"}, "starter:" + id: {"yes"}, "starter:" + access.Starters()[1].ID: {"yes"}}
	w := post(t, h, "/new/map", form)
	wants(t, w, http.StatusSeeOther)
	wants(t, get(t, h, w.Header().Get("Location")), http.StatusOK, "شاحنة", "Add an item")
	again := post(t, h, "/new/map", form)
	if again.Header().Get("Location") == w.Header().Get("Location") {
		t.Error("a second map of the name took the first one's place")
	}
}

const goodMap = "format: lastbolt access map 1\nid: small\nname: Small\nitems:\n  - id: tray\n    name: Tray\n    ways: [{id: \"off\", minutes: {off: [1, 2, 3], on: 2}}]\n"

func TestAMapIsImportedOrEveryProblemNamed(t *testing.T) {
	h := emptyPages(t)
	bad := strings.Replace(strings.Replace(goodMap, "minutes:", "minuts:", 1), "name: Small", "nam: Small", 1)
	w := upload(t, h, "/import/map", "my.yaml", []byte(bad), nil)
	wants(t, w, http.StatusUnprocessableEntity, "line 3, column 1", "line 7, column", `"minuts"`, "Did you mean", "ways: [{id:")
	if got := formOf(t, w.Body.String(), "/import/map").Get("text"); strings.TrimSpace(strings.ReplaceAll(got, "\r\n", "\n")) != strings.TrimSpace(bad) {
		t.Errorf("the text came back as %q", got)
	}
	wants(t, upload(t, h, "/import/map", "", nil, url.Values{"text": {"}{: ["}}), http.StatusUnprocessableEntity, "line 1, column")
	wants(t, upload(t, h, "/import/map", "", nil, nil), http.StatusUnprocessableEntity, "Choose a file, or paste")
	w = upload(t, h, "/import/map", "my.yaml", []byte("\ufeff"+strings.ReplaceAll(goodMap, "\n", "\r\n")), nil)
	if w.Code != http.StatusSeeOther {
		wants(t, w, http.StatusSeeOther)
	}
	w = upload(t, h, "/import/map", "", nil, url.Values{"text": {goodMap + "about: other\n"}})
	wants(t, w, http.StatusConflict, `the id "small" here already`, "next version", "about: other")
	form := formOf(t, w.Body.String(), "/import/map")
	form.Set("next", "yes")
	w = upload(t, h, "/import/map", "", nil, form)
	wants(t, w, http.StatusSeeOther)
	if got := get(t, h, "/maps/small/map.yaml").Body.String(); !strings.Contains(got, "about: other") {
		t.Errorf("the newest is %s", got)
	}
	if got := get(t, h, "/maps/small/map.yaml?version=1").Body.String(); strings.Contains(got, "about: other") {
		t.Error("the first version was overwritten")
	}
}

func TestAFileThatIsNoMapIsRefusedInASentence(t *testing.T) {
	h := emptyPages(t)
	for _, test := range []struct {
		name    string
		content []byte
		status  int
		says    string
	}{
		{"manual.pdf", []byte("%PDF-1.7 ..."), http.StatusUnprocessableEntity, "is a PDF, not text"},
		{"photo.jpg", []byte("\xff\xd8\xff\xe0 JFIF"), http.StatusUnprocessableEntity, "is a photo, not text"},
		{"map.xlsx", []byte("PK\x03\x04 ..."), http.StatusUnprocessableEntity, "office document, not text"},
		{"latin.yaml", []byte("name: \xe4\xf6"), http.StatusUnprocessableEntity, "not text in UTF-8"},
		{"zeros", make([]byte, 1000), http.StatusUnprocessableEntity, "not text"},
		{"large.yaml", bytes.Repeat([]byte("# much\n"), access.MaxBytes/7+2), http.StatusUnprocessableEntity, "larger than 4 MB"},
		{"huge.yaml", bytes.Repeat([]byte("# more\n"), 3*access.MaxBytes/7), http.StatusRequestEntityTooLarge, "larger than 4 MB"},
	} {
		t.Run(test.name, func(t *testing.T) {
			wants(t, upload(t, h, "/import/map", test.name, test.content, nil), test.status, test.says)
		})
	}
	long := url.Values{"name": {strings.Repeat("x", 2<<20)}}
	for _, path := range []string{"/shelf/add", "/new/vehicle", "/new/map"} {
		wants(t, post(t, h, path, long), http.StatusRequestEntityTooLarge, "more than a form may send")
	}
}

func TestNamesFromAnywhereAreShownAsWritten(t *testing.T) {
	h := emptyPages(t)
	names := []string{`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, "سيارة زرقاء", "רכב", "🚐🔧", "javascript:alert(1)", "a'b&c"}
	for i, name := range names {
		m := strings.NewReplacer("id: small", fmt.Sprintf("id: small%d", i), "name: Small", fmt.Sprintf("name: %q\nabout: %q", name, name), "name: Tray", fmt.Sprintf("name: %q\n    area: %q\n    notes: %q\n    critical: %q", name, name, name, name)).Replace(goodMap)
		wants(t, upload(t, h, "/import/map", "m.yaml", []byte(m), nil), http.StatusSeeOther)
		w := post(t, h, "/new/vehicle", url.Values{"name": {name}, "about": {name}, "plate": {name}, "map:small0": {"yes"}, "paper.0.title": {name}, "paper.0.where": {name}})
		wants(t, w, http.StatusSeeOther)
		car := strings.TrimSuffix(w.Header().Get("Location"), "?said=Kept")
		wants(t, post(t, h, "/shelf/add", url.Values{"kind": {"tool"}, "tool": {name}}), http.StatusSeeOther)
		wants(t, post(t, h, "/shelf/add", url.Values{"kind": {"supply"}, "supply": {name}, "amount": {name}}), http.StatusSeeOther)
		at := fmt.Sprintf("/maps/small%d", i)
		for _, path := range []string{"/maps", at, at + "?q=" + url.QueryEscape(name), at + "/items/tray", at + "/items/tray/edit", at + "/items/tray/way?id=off", at + "/about", "/vehicles", car, car + "/edit", "/shelf", "/shelf/text", "/shelf?out=" + url.QueryEscape(name) + "&kind=" + url.QueryEscape(name), "/shelf?said=" + url.QueryEscape(name)} {
			w := get(t, h, path)
			wants(t, w, http.StatusOK)
			if strings.Contains(w.Body.String(), "<script>alert") || strings.Contains(w.Body.String(), "<img src=x") || strings.Contains(w.Body.String(), `href="javascript:`) {
				t.Errorf("%s lets %q through", path, name)
			}
			if !strings.Contains(html.UnescapeString(w.Body.String()), name) {
				t.Errorf("%s does not show %q", path, name)
			}
		}
	}
}

func TestAVehicleIsKeptWithItsHistory(t *testing.T) {
	h, _, st := demoPages(t)
	w := post(t, h, "/new/vehicle", url.Values{"name": {"Old van"}, "vin": {"1M8GDM9A_KP042788"}, "about": {"rusty"}})
	wants(t, w, http.StatusUnprocessableEntity, "Place 9 of the VIN", "rusty")
	w = post(t, h, "/new/vehicle", url.Values{"name": {"Old van"}, "vin": {"1m8gdm9axkp042788"}, "odometer.0.distance": {"82 300 km"}, "odometer.0.at": {"2026-01-02"}})
	wants(t, w, http.StatusSeeOther)
	page := get(t, h, "/vehicles/old-van")
	wants(t, page, http.StatusOK, "1M8GDM9AXKP042788", "as the other places ask for", "82 300 km", "Version 1")
	reading := formOf(t, page.Body.String(), "/vehicles/old-van/odometer")
	reading.Set("distance", "83")
	wants(t, post(t, h, "/vehicles/old-van/odometer", reading), http.StatusUnprocessableEntity, "unit")
	reading.Set("distance", "83 000 km")
	wants(t, post(t, h, "/vehicles/old-van/odometer", reading), http.StatusSeeOther)
	first := formOf(t, get(t, h, "/vehicles/old-van/edit").Body.String(), "/vehicles/old-van/edit")
	wants(t, post(t, h, "/vehicles/old-van/edit", first), http.StatusSeeOther)
	first.Set("about", "typed late")
	w = post(t, h, "/vehicles/old-van/edit", first)
	wants(t, w, http.StatusConflict, "changed in the meantime", "typed late")
	car, version, err := garage.Vehicles{Documents: st}.Load(context.Background(), "old-van")
	if err != nil || version != 3 || len(car.Odometer) != 2 {
		t.Errorf("version %d, %+v, %v", version, car, err)
	}
	wants(t, get(t, h, "/vehicles/old-van?version=1"), http.StatusOK, "This is version 1")
	wants(t, get(t, h, "/vehicles/tern-1"), http.StatusOK, "invented", "Released")
}

func TestANewJobKnowsTheOnlyMapOfItsVehicle(t *testing.T) {
	h, _, st := demoPages(t)
	maps, err := garage.NewMaps(st).List(context.Background())
	if err != nil || len(maps) == 0 {
		t.Fatal(maps, err)
	}
	chosen := `<option value="` + maps[0].ID + `" selected`
	wants(t, post(t, h, "/new/vehicle", url.Values{"name": {"Flatbed"}, "map:" + maps[0].ID: {"yes"}}), http.StatusSeeOther)
	wants(t, get(t, h, "/jobs/new?vehicle=flatbed"), http.StatusOK, chosen)
	for _, path := range []string{"/jobs/new", "/jobs/new?vehicle=another", "/jobs/new?vehicle=Flatbed&map="} {
		if strings.Contains(get(t, h, path).Body.String(), chosen) {
			t.Errorf("%s chooses a map", path)
		}
	}
}

func TestANewJobAsksForTheOdometersUnit(t *testing.T) {
	h, _, _ := demoPages(t)
	form := url.Values{"vehicle": {"Flatbed"}, "complaint": {"a growl at the belt"}, "odometer": {"143 200"}}
	wants(t, post(t, h, "/jobs/new", form), http.StatusUnprocessableEntity, "has no unit", "a growl at the belt")
	form.Set("odometer", "143 200 km")
	w := post(t, h, "/jobs/new", form)
	wants(t, w, http.StatusSeeOther)
	page := get(t, h, w.Header().Get("Location"))
	wants(t, page, http.StatusOK, "143 200 km", "a growl at the belt")
	if strings.Contains(page.Body.String(), "a growl at the belt: inspect") {
		t.Error("the title is not the complaint alone")
	}
}

func TestARefusedVehicleCountsNoBlankRows(t *testing.T) {
	h, _, _ := demoPages(t)
	blank := url.Values{"name": {"Flatbed"}, "vin": {"1"}, "odometer.0.distance": {""}, "odometer.0.at": {""}, "odometer.0.note": {""}, "paper.0.title": {""}}
	page := post(t, h, "/new/vehicle", blank)
	wants(t, page, http.StatusUnprocessableEntity, "none written down")
	if strings.Contains(page.Body.String(), "1 reading") || strings.Contains(page.Body.String(), "1 paper") {
		t.Error("blank rows are counted")
	}
}

func TestTheShelfIsChangedAtATap(t *testing.T) {
	h, _, st := demoPages(t)
	shelf := func() garage.Shelf {
		s, _, err := garage.LoadShelf(context.Background(), st)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	before := shelf()
	wants(t, post(t, h, "/shelf/add", url.Values{"kind": {"tool"}, "tool": {" "}}), http.StatusUnprocessableEntity, "Write what it is")
	wants(t, post(t, h, "/shelf/add", url.Values{"kind": {"tool"}, "tool": {"Axle  STANDS"}}), http.StatusUnprocessableEntity, "on the shelf already")
	wants(t, post(t, h, "/shelf/amount", url.Values{"name": {"coolant"}, "amount": {"7 L"}}), http.StatusSeeOther)
	if p, _ := func() (garage.Supply, bool) { s := shelf(); return s.Supply("coolant") }(); p.Amount != "7 L" {
		t.Errorf("coolant is %q", p.Amount)
	}
	wants(t, post(t, h, "/shelf/amount", url.Values{"name": {"gone"}, "amount": {"7 L"}}), http.StatusNotFound, "no longer on the shelf")
	for _, gone := range []struct{ kind, name string }{{"tool", before.Tools[3]}, {"supply", before.Supplies[1].Name}} {
		w := post(t, h, "/shelf/remove", url.Values{"kind": {gone.kind}, "name": {gone.name}})
		wants(t, w, http.StatusSeeOther)
		page := get(t, h, w.Header().Get("Location"))
		wants(t, page, http.StatusOK, "Undo: "+gone.name)
		undo := formOf(t, page.Body.String(), "/shelf/add") // the first: it stands above the lists
		wants(t, post(t, h, "/shelf/add", undo), http.StatusSeeOther)
	}
	wants(t, post(t, h, "/shelf/amount", url.Values{"name": {"coolant"}, "amount": {"1 L"}}), http.StatusSeeOther)
	if after := shelf(); fmt.Sprint(after) != fmt.Sprint(before) {
		t.Errorf("after undoing all:\n got %v\nwant %v", after, before)
	}
	form := formOf(t, get(t, h, "/shelf/text").Body.String(), "/shelf/text")
	stale := formOf(t, get(t, h, "/shelf/text").Body.String(), "/shelf/text")
	wants(t, upload(t, h, "/shelf/text", "more.txt", []byte("- Torch\nsupplies\nRags = 20\n"), form), http.StatusSeeOther)
	s := shelf()
	if p, ok := s.Supply("rags"); !ok || p.Amount != "20" || !s.HasTool("torch") || len(s.Tools) != len(before.Tools)+1 {
		t.Errorf("after adding a file: %v", s)
	}
	stale.Set("text", "only this")
	wants(t, upload(t, h, "/shelf/text", "", nil, stale), http.StatusConflict, "changed in the meantime", "only this")
	wants(t, upload(t, h, "/shelf/text", "x.pdf", []byte("%PDF-1"), stale), http.StatusUnprocessableEntity, "is a PDF")
	wants(t, upload(t, h, "/shelf/text", "big.txt", make([]byte, 2<<20), stale), http.StatusRequestEntityTooLarge, "more than 1 MB")
}

// emptyPages is the pages of somebody who begins.
func emptyPages(t *testing.T) http.Handler {
	t.Helper()
	st := memory.New()
	now := func() time.Time { return noon }
	host := &web.Host{Book: job.NewBook(st, &job.Recorder{Now: now, NewID: func() string { return "ffffffff-0000-7000-8000-000000000001" }}), Documents: st, Files: st, Now: now}
	return host.Handler()
}
