package browsertest

import (
	"context"
	"encoding/pem"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/boombuler/barcode/qr"

	"lastbolt/demo"
	"lastbolt/internal/browser"
	"lastbolt/lan"
	"lastbolt/store/sqlite"
)

// authority is the folder of the certificate authority that the test browser
// trusts.
var authority string

// trustAuthority makes one before the browser starts, and gives what forgets it.
func trustAuthority() func() {
	dir, err := os.MkdirTemp("", "lastbolt-authority-")
	if err != nil {
		panic(err)
	}
	authority = filepath.Join(dir, "lan")
	door, err := lan.Open(authority, time.Now)
	if err != nil {
		panic(err)
	}
	file := filepath.Join(dir, "authority.crt")
	text := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: door.Authority.Root()})
	if err := os.WriteFile(file, text, 0o600); err != nil {
		panic(err)
	}
	browser.Trust(file)
	return func() { _ = os.RemoveAll(dir) }
}

// lanShop starts the program on the demo's jobs with phones let in. With trusted
// the shop has the authority that the browser trusts, else one of its own.
func lanShop(t *testing.T, trusted bool, more ...string) *server {
	t.Helper()
	if trusted {
		browser.NeedsTrust(t)
	}
	browser.Start(t)
	s := &server{t: t, dir: filepath.Join(t.TempDir(), "shop"), args: append([]string{"--lan", "--lan-listen", ":0"}, more...)}
	s.fill(func(ctx context.Context, st *sqlite.Store) error { return demo.Fill(ctx, st, time.Now()) })
	if trusted {
		key, err := os.ReadFile(filepath.Join(authority, "authority.pem"))
		if err == nil {
			err = os.Mkdir(filepath.Join(s.dir, "lan"), 0o700)
		}
		if err == nil {
			err = os.WriteFile(filepath.Join(s.dir, "lan", "authority.pem"), key, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	s.start("127.0.0.1:0")
	s.args[2] = ":" + s.lanPort() // the same after a restart
	return s
}

// lanPort is where the phones' side answers.
func (s *server) lanPort() string {
	s.t.Helper()
	var m []string
	for range 200 { // it is said on another stream than the address that start waits for
		if m = regexp.MustCompile(`Phones: https on (\S+)\. Pair`).FindStringSubmatch(s.errs.String()); m != nil {
			break
		}
		time.Sleep(25 * time.Millisecond)
	}
	if m == nil {
		s.t.Fatalf("the program says of no address for phones:\n%s", s.errs)
	}
	_, port, err := net.SplitHostPort(m[1])
	if err != nil {
		s.t.Fatal(err)
	}
	return port
}

// pairingCode reads the page with the codes as a person does: the address and
// the code under it. It fails where the picture is of anything else.
func pairingCode(t *testing.T, owner *browser.Tab) (address, code string) {
	t.Helper()
	owner.WaitText("2. Pair it")
	address = owner.Texts(".card .address")[1]
	code = strings.ReplaceAll(owner.Text(".code-word"), " ", "")
	img, err := qr.Encode(address+"?code="+code, qr.M, qr.Auto)
	if err != nil {
		t.Fatal(err)
	}
	var want strings.Builder
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
				fmt.Fprintf(&want, "M%d %dh1v1h-1z", x+4, y+4)
			}
		}
	}
	if drawn := browser.Eval[[]string](owner, `[...document.querySelectorAll("[data-code] path")].map((p) => p.getAttribute("d"))`); len(drawn) != 2 || drawn[1] != want.String() {
		t.Fatalf("the picture is not that of %s?code=%s", address, code)
	}
	return address, code
}

// pairPhone pairs a new phone by what the owner's screen shows.
func pairPhone(t *testing.T, owner *browser.Tab, name string, prepare ...func(*browser.Tab)) *browser.Tab {
	t.Helper()
	address, code := pairingCode(t, owner)
	phone := browser.Phone(t)
	for _, do := range prepare {
		do(phone)
	}
	phone.Open(address + "?code=" + code)
	phone.Fill("Name of this phone", name)
	phone.Tap("Pair this phone")
	phone.WaitText("Jobs in hand")
	owner.WaitText(name + " is paired.")
	return phone
}

// A phone is paired by the code on the owner's screen, works through a restart
// of the server, and is shut out with its next tap once it is put out.
func TestAPhoneIsPairedByTheCodeOnTheScreenAndPutOutAgain(t *testing.T) {
	s := lanShop(t, true)
	owner := browser.Desktop(t)
	owner.Open(s.url + "/jobs")
	owner.Tap("More")
	owner.Tap("Phones and people")
	owner.Screenshot("lan-nobody-yet")
	owner.Tap("Pair a phone")
	owner.Screenshot("lan-codes")
	address, code := pairingCode(t, owner)
	phone := pairPhone(t, owner, "blue phone")
	owner.Screenshot("lan-paired")
	if !browser.Eval[bool](phone, "isSecureContext") {
		t.Errorf("%s is no secure context, so the phone keeps no screen on", phone.URL())
	}
	phone.WaitText(halfApart)
	phone.Screenshot("lan-phone-jobs")

	other := browser.Phone(t) // somebody who has photographed the screen
	other.Open(address + "?code=" + code)
	other.Fill("Name of this phone", "red phone")
	other.Tap("Pair this phone")
	other.WaitText("This code is not good, or not any more: each is good once and for five minutes.")
	other.Screenshot("lan-code-spent")

	h := &hand{t: t, s: s, tab: phone, job: strings.TrimSuffix(address, "/pair") + "/jobs/" + s.jobID(halfApart)}
	h.open("")
	phone.Tap("Go on")
	h.passResume()
	step := h.heading()
	s.killAndStartAgain()
	phone.Reload()
	if got := h.heading(); got != step {
		t.Errorf("after the server's restart the phone shows %q, want the step %q", got, step)
	}
	h.act()
	if got := h.heading(); got == step {
		t.Errorf("after the server's restart the step %q could not be done", step)
	}

	owner.Open(s.url + "/phones")
	owner.Tap("blue phone")
	owner.Screenshot("lan-one-phone")
	owner.Tap("Put blue phone out")
	owner.WaitText("None yet.")
	if phone.Has("[data-main]") {
		phone.Tap("[data-main]")
	} else {
		phone.Reload()
	}
	phone.WaitText("This phone is not paired with this computer yet, or not any more.")
	phone.Screenshot("lan-put-out")
	if phone.Reads("Tern") || phone.Has(".nav") {
		t.Errorf("the phone that was put out still reads of the vehicle:\n%s", phone.Text("body"))
	}
}

// Over a name of the network, not an address of this machine, a page is a secure
// context only because the certificate is trusted.
func TestATrustedNameOfTheNetworkIsASecureContext(t *testing.T) {
	s := lanShop(t, true)
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	name, _, _ := strings.Cut(strings.ToLower(host), ".")
	if strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" || name == "" {
		t.Skipf("this machine is called %q, which the certificate does not name", host)
	}
	at := net.JoinHostPort(name+".local", s.lanPort())
	phone := browser.Phone(t)
	phone.Open("https://" + at + "/jobs")
	phone.WaitText("Pair this phone")
	if !browser.Eval[bool](phone, "isSecureContext") {
		t.Error("over https it is no secure context")
	}
	phone.Open("http://" + at + "/jobs")
	phone.WaitText("Get the certificate")
	if browser.Eval[bool](phone, "isSecureContext") {
		t.Error("over plain http it is a secure context, so the test above says nothing")
	}
	phone.Tap("Screen")
	for _, theme := range []string{"light", "dark", "sun"} {
		phone.Tap("button[value=" + theme + "]")
		phone.Screenshot("lan-trust-" + theme)
	}
	if got := phone.Overflow(); len(got) > 0 {
		t.Errorf("cut off: %q", got)
	}
}

// A phone that will not have the certificate is told how it can be had, and
// carries a job all the same: without scripts, with photos from files.
func TestAPhoneThatTrustsNothingCarriesAJobAllTheSame(t *testing.T) {
	s := lanShop(t, false)
	owner := browser.Desktop(t)
	owner.Open(s.url + "/phones/pair")
	address, code := pairingCode(t, owner)
	phone := browser.Phone(t)
	if why := phone.Refuses(address + "?code=" + code); !strings.Contains(why, "ERR_CERT_AUTHORITY_INVALID") {
		t.Fatalf("the browser says %q of a certificate that it cannot know", why)
	}
	plain := strings.Replace(strings.TrimSuffix(address, "/pair"), "https://", "http://", 1)
	phone.Open(plain + "/jobs")
	phone.WaitText("If the phone will not have it")
	phone.WaitText("go on past the warning")

	phone.GoPastWarnings()
	phone.WithoutScripts()
	phone.Open(address + "?code=" + code)
	phone.Fill("Name of this phone", "old phone")
	phone.Tap("Pair this phone")
	phone.WaitText("Jobs in hand")
	h := &hand{t: t, s: s, tab: phone, job: strings.TrimSuffix(address, "/pair") + "/jobs/" + s.jobID(halfApart)}
	h.open("")
	phone.Tap("Go on")
	h.passResume()
	step := h.heading()
	photo := filepath.Join(t.TempDir(), "bolt.jpg")
	writeFile(t, photo, picture(t))
	phone.Tap("Photo")
	phone.Upload("input[type=file]", photo)
	phone.Tap("Keep the photo")
	phone.WaitText(step)
	phone.WaitFor("the photo on the step", `[...document.querySelectorAll("main .photos img")].some((i) => i.complete && i.naturalWidth > 0)`)
	if phone.Has("main label:has(input[name=confirmed])") {
		phone.Tap("main label:has(input[name=confirmed])")
	}
	phone.Tap("[data-main]")
	if got := h.heading(); got == step {
		t.Errorf("the step %q could not be done", step)
	}
	phone.Screenshot("lan-plain-mode")
}

// Everybody has a PIN; the record says who did what, and who only reads is told
// so in a sentence.
func TestTheRecordSaysWhoHadThePhoneInHand(t *testing.T) {
	s := lanShop(t, true)
	owner := browser.Desktop(t)
	owner.Open(s.url + "/phones/pair")
	phone := pairPhone(t, owner, "shop phone")
	for _, p := range [][3]string{{"Ann", "everything (owner)", "482915"}, {"Bo", "record (mechanic)", "771924"}, {"Cy", "look only (read only)", "306158"}} {
		s.addPerson(owner, p[0], p[1], p[2])
	}
	owner.Screenshot("lan-people")
	signIn := func(name, pin string) {
		phone.Fill("Name", name)
		phone.Fill("PIN", pin)
		phone.Tap("It is me")
	}
	phone.Reload()
	phone.WaitText("Who has this phone in hand?")
	phone.Screenshot("lan-who")
	signIn("Bo", "999999")
	phone.WaitText("This is not the PIN.")
	phone.Screenshot("lan-wrong-pin")
	signIn("Bo", "771924")
	phone.WaitText("Jobs in hand")

	origin := browser.Eval[string](phone, "location.origin")
	h := &hand{t: t, s: s, tab: phone, job: origin + "/jobs/" + s.jobID(halfApart)}
	h.open("")
	phone.Tap("Go on")
	h.passResume()
	h.act()
	h.open("/record")
	phone.WaitText("Bo")
	phone.Open(origin + "/shelf")
	phone.Open(origin + "/who")
	phone.WaitText("Bo has this phone in hand")
	phone.Screenshot("lan-in-hand")
	phone.Tap("Hand the phone on")
	phone.WaitText("Who has this phone in hand?")
	signIn("Cy", "306158")
	phone.WaitText("Jobs in hand")
	looksOnly := func(name string) {
		t.Helper()
		phone.WaitText("You may look at everything here but record nothing. Ask the owner for another role.")
		phone.Screenshot("lan-looks-only-" + name)
		if left := browser.Eval[string](phone, `[...document.querySelectorAll("main form[method=post] button, main a")].filter((x) => x.checkVisibility() && (x.localName === "button" || /\/(new|note|photo|edit|targets)(\?|$)/.test(x.href))).map((x) => x.textContent.trim()).join(", ")`); left != "" {
			t.Errorf("%s offers to somebody who may only look: %s", name, left)
		}
		if browser.Eval[bool](phone, `[...document.querySelectorAll(".thumb, .undo")].some((x) => x.checkVisibility() && ![...x.querySelectorAll("a, button")].some((y) => y.checkVisibility()))`) {
			t.Errorf("%s keeps an empty bar at its foot for somebody who may only look", name)
		}
		if typed := browser.Eval[bool](phone, `[...document.querySelectorAll("main form[method=post] :is(input, textarea, select)")].some((x) => { x.focus(); return document.activeElement === x })`); typed {
			t.Errorf("%s lets somebody type who may only look", name)
		}
	}
	for name, path := range map[string]string{"jobs": "/jobs", "new-job": "/jobs/new", "shelf": "/shelf", "vehicles": "/vehicles", "vehicle": "/vehicles/tern-1", "map": "/maps/tern-van-14"} {
		phone.Open(origin + path)
		looksOnly(name)
	}
	for _, path := range []string{"", "/note", "/steps", "/prove"} {
		h.open(path)
		looksOnly("job" + strings.ReplaceAll(path, "/", "-"))
	}
	phone.Open(origin + "/phones")
	phone.WaitText("Phones and people are the owner's to manage.")
	phone.Open(origin + "/who")
	phone.Tap("Hand the phone on")
	for range 5 {
		signIn("Cy", "111333")
		phone.WaitText("PIN")
	}
	signIn("Cy", "306158")
	phone.WaitText("Too many wrong PINs. Wait five minutes; sooner, it takes a new one from the owner and another phone.")
	phone.Screenshot("lan-locked")
}

// A phone that nobody paired sees no name of anything on any page, nor in what
// its pages load.
func TestAnUnpairedPhoneReadsNoNameOfAnything(t *testing.T) {
	s := lanShop(t, true)
	job := "/jobs/" + s.jobID(halfApart)
	owner := browser.Desktop(t)
	owner.Open(s.url + "/phones/pair")
	address, _ := pairingCode(t, owner)
	pairPhone(t, owner, "Zephyr")
	stranger := browser.Phone(t)
	for _, path := range []string{"/", "/jobs", job, job + "/record", job + "/live", job + "/paper/sheet", job + "/follow-ups.ics", "/vehicles", "/shelf", "/maps", "/photos/" + strings.Repeat("a", 64), "/phones", "/who", "/pair", "/nothing-there"} {
		stranger.Open(strings.TrimSuffix(address, "/pair") + path)
		seen := browser.Eval[string](stranger, `Promise.all(performance.getEntriesByType("resource").map((r) => fetch(r.name).then((a) => a.text(), () => "")))
			.then((all) => document.documentElement.outerHTML + document.title + all.join(" "))`)
		for _, name := range []string{"Tern", "Harrow", "Oil cooler", "Alternator", "Zephyr", s.dir} {
			if strings.Contains(seen, name) {
				t.Errorf("%s: an unpaired phone reads %q", path, name)
			}
		}
		if !stranger.Reads("Pair this phone") {
			t.Errorf("%s: an unpaired phone is shown another page than that on pairing", path)
		}
	}
	if cookies := browser.Eval[string](stranger, "document.cookie"); strings.Contains(cookies, "lastbolt") {
		t.Errorf("scripts can read the cookie: %s", cookies)
	}
}

// The door's own pages fit a phone, in every theme, with nothing small to tap.
func TestThePagesOfTheDoorFitAPhoneInEveryTheme(t *testing.T) {
	s := lanShop(t, true)
	owner := browser.Desktop(t)
	owner.Open(s.url + "/phones/pair")
	address, _ := pairingCode(t, owner)
	phone := pairPhone(t, owner, "a phone with quite a long name, as people give them")
	origin := strings.TrimSuffix(address, "/pair")
	owner.Open(s.url + "/phones/person")
	owner.Fill("Name", "Ann-Kathrin Mustermann-Featherstonehaugh")
	owner.Fill("PIN", "482915")
	owner.Tap("Add")
	owner.WaitText("Phones and people")
	links := browser.Eval[[]string](owner, `[...document.querySelectorAll("main .list a")].map((a) => a.href)`)
	if len(links) != 2 {
		t.Fatalf("the list leads to %q, want one phone and one person", links)
	}
	phone.Open(origin + "/jobs") // asks for the PIN
	phone.Fill("PIN", "482915")
	phone.Tap("It is me")
	phone.WaitText("Jobs in hand")
	stranger := browser.Phone(t)
	for _, theme := range []string{"light", "dark", "sun"} {
		for name, page := range map[string]struct {
			tab *browser.Tab
			at  string
		}{
			"list": {phone, origin + "/phones"}, "codes": {phone, origin + "/phones/pair"}, "person": {phone, origin + strings.TrimPrefix(links[1], s.url)},
			"add": {phone, origin + "/phones/person"}, "phone": {phone, origin + strings.TrimPrefix(links[0], s.url)}, "hand": {phone, origin + "/who"}, "pin": {phone, origin + "/who/pin"},
			"stranger": {stranger, origin + "/pair?code=ABCDE23456"}, "trust": {stranger, origin + "/trust"},
		} {
			tab := page.tab
			tab.Open(page.at)
			tab.Do(`document.cookie = "theme=` + theme + `; path=/; secure"; localStorage.setItem("theme", "` + theme + `")`)
			tab.Open(page.at)
			if got := browser.Eval[string](tab, `document.documentElement.dataset.theme`); got != theme {
				t.Fatalf("%s is shown in %q, want %q", page.at, got, theme)
			}
			fits(t, page.at, tab)
			if theme == "light" { // that colours can be told apart in every theme, package ui tests
				tab.Axe()
			}
			tab.Screenshot("door-" + name + "-" + theme)
		}
	}
}
