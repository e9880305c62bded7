package web

import (
	"cmp"
	"context"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/web/parts"
)

// A shelfView is the shelf: what is owned, each with its own small form.
type shelfView struct {
	Error           string
	Tools, Supplies []ownedView
	AddTool         []parts.FieldInfo
	AddSupply       []parts.FieldInfo
	Undo            parts.ActionInfo
	Empty           bool
}

type ownedView struct {
	Name, Amount, Kind string
	Field              string // of the amount, unlike any other on the page
}

func (h *Host) shelfRoutes(mux *Router) {
	mux.HandleFunc("GET /shelf", func(w http.ResponseWriter, r *http.Request) { h.showShelf(w, r, http.StatusOK, newTyped(), "") })
	mux.HandleFunc("POST /shelf/add", h.addToShelf)
	mux.HandleFunc("POST /shelf/amount", h.setAmount)
	mux.HandleFunc("POST /shelf/remove", h.removeFromShelf)
	mux.HandleFunc("GET /shelf/text", h.shelfAsText)
	mux.HandleFunc("POST /shelf/text", h.keepShelfText)
	mux.HandleFunc("GET /shelf.txt", h.downloadShelf)
}

func (h *Host) showShelf(w http.ResponseWriter, r *http.Request, status int, t *typed, problem string) {
	s, err := h.shelf(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := shelfView{Error: problem, Empty: len(s.Tools)+len(s.Supplies) == 0, Undo: undoRemoval(r.URL.Query())}
	for _, name := range s.Tools {
		v.Tools = append(v.Tools, ownedView{Name: name, Kind: "tool"})
	}
	slices.SortStableFunc(v.Tools, byKindAndSize)
	for i, p := range s.Supplies {
		v.Supplies = append(v.Supplies, ownedView{Name: p.Name, Amount: p.Amount, Kind: "supply", Field: "amount-" + strconv.Itoa(i)})
	}
	added := t
	if t.Get("kind") == "supply" {
		added = newTyped()
	}
	v.AddTool = []parts.FieldInfo{added.field(parts.FieldInfo{Name: "tool", Label: "Add a tool", Placeholder: "13 mm socket"})}
	if t.Get("kind") != "supply" {
		t = newTyped()
	}
	v.AddSupply = []parts.FieldInfo{
		t.field(parts.FieldInfo{Name: "supply", Label: "Add a supply", Placeholder: "Brake cleaner"}),
		t.field(parts.FieldInfo{Name: "amount", Label: "How much, with its unit", Placeholder: "400 ml"}),
	}
	h.show(w, r, status, shelfPage(h.page(r, parts.Shelf, "Shelf"), v))
}

// byKindAndSize puts all sockets together and the smallest of them first. The
// shelf as text keeps the order its owner wrote.
func byKindAndSize(a, b ownedView) int {
	kindA, sizeA := kindAndSize(a.Name)
	kindB, sizeB := kindAndSize(b.Name)
	return cmp.Or(cmp.Compare(kindA, kindB), cmp.Compare(sizeA, sizeB))
}

// kindAndSize reads a tool's name as its owner wrote it: "13 mm deep socket" is
// a socket, deep, of size 13. What follows a comma is not part of it.
func kindAndSize(name string) (kind string, size float64) {
	name, _, _ = strings.Cut(strings.ToLower(name), ",")
	letters := func(r rune) bool { return !unicode.IsLetter(r) }
	digits := func(r rune) bool { return r != '.' && !unicode.IsDigit(r) }
	for number := range strings.FieldsFuncSeq(name, digits) {
		if n, err := strconv.ParseFloat(number, 64); err == nil {
			size = n
			break
		}
	}
	words := slices.DeleteFunc(strings.FieldsFunc(name, letters), func(word string) bool {
		return slices.Contains([]string{"mm", "cm", "in", "l", "n", "m"}, word)
	})
	if n := len(words); n > 1 { // the last word names the tool itself
		words = append(words[n-1:n:n], words[:n-1]...)
	}
	return strings.Join(words, " "), size
}

// undoRemoval offers to put back what the page before took out.
func undoRemoval(q url.Values) parts.ActionInfo {
	if q.Get("out") == "" {
		return parts.ActionInfo{}
	}
	kind := "tool"
	if q.Get("kind") == "supply" {
		kind = "supply"
	}
	return parts.ActionInfo{URL: "/shelf/add", Label: q.Get("out") + " taken off the shelf",
		Hidden: parts.Pairs("kind", kind, kind, q.Get("out"), "amount", q.Get("amount"), "at", q.Get("at"))}
}

// changeShelf applies a change to the newest shelf; when another has come in
// between, to that one.
func (h *Host) changeShelf(ctx context.Context, note string, change func(s *garage.Shelf) error) error {
	const tries = 5
	for try := 1; ; try++ {
		s, version, err := garage.LoadShelf(ctx, h.Documents)
		if err != nil {
			return err
		}
		if err := change(&s); err != nil {
			return err
		}
		_, err = garage.SaveShelf(ctx, h.Documents, s, garage.Edit{Base: version, At: h.Now(), Note: note})
		if try == tries || !fault.Is(err, fault.Stale) {
			return err
		}
	}
}

func (h *Host) addToShelf(w http.ResponseWriter, r *http.Request) {
	t, err := readForm(w, r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	kind := t.Get("kind")
	if kind != "supply" {
		kind = "tool"
	}
	name := strings.Join(strings.Fields(t.Get(kind)), " ")
	if name == "" {
		t.refuse(kind, "Write what it is, then add it.")
		h.showShelf(w, r, http.StatusUnprocessableEntity, t, "")
		return
	}
	at := numberFrom(t.Get("at"))
	err = h.changeShelf(r.Context(), "added "+name, func(s *garage.Shelf) error {
		if kind == "tool" {
			if s.HasTool(name) {
				return fault.New(fault.Bad, "%q is on the shelf already.", name)
			}
			s.Tools = insertAt(s.Tools, at, t.Has("at"), name)
			return nil
		}
		if _, have := s.Supply(name); have {
			return fault.New(fault.Bad, "%q is on the shelf already. Change its amount in the list.", name)
		}
		s.Supplies = insertAt(s.Supplies, at, t.Has("at"), garage.Supply{Name: name, Amount: t.line("amount")})
		return nil
	})
	if err != nil {
		t.refuse(kind, "%s", sentence(err))
		h.showShelf(w, r, statusOf(err), t, "")
		return
	}
	http.Redirect(w, r, "/shelf?said="+url.QueryEscape(name+": on the shelf")+"#"+kind, http.StatusSeeOther)
}

// insertAt puts a thing back in its place, or at the end.
func insertAt[T any](list []T, at int, known bool, one T) []T {
	if !known || at > len(list) {
		at = len(list)
	}
	return slices.Insert(list, at, one)
}

func (h *Host) setAmount(w http.ResponseWriter, r *http.Request) {
	t, err := readForm(w, r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	name := t.line("name")
	err = h.changeShelf(r.Context(), "amount of "+name, func(s *garage.Shelf) error {
		for i := range s.Supplies {
			if garage.PlainName(s.Supplies[i].Name) == garage.PlainName(name) {
				s.Supplies[i].Amount = t.line("amount")
				return nil
			}
		}
		return fault.New(fault.NotFound, "%q is no longer on the shelf, so its amount was not kept. Add it again with its amount.", name)
	})
	if err != nil {
		h.showShelf(w, r, statusOf(err), newTyped(), sentence(err))
		return
	}
	amount := t.line("amount")
	if amount == "" {
		amount = "amount not known"
	}
	http.Redirect(w, r, "/shelf?said="+url.QueryEscape(name+": "+amount)+"#supply", http.StatusSeeOther)
}

func (h *Host) removeFromShelf(w http.ResponseWriter, r *http.Request) {
	t, err := readForm(w, r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	name, key := t.line("name"), garage.PlainName(t.Get("name"))
	back := url.Values{"kind": {t.Get("kind")}, "out": {name}}
	err = h.changeShelf(r.Context(), "removed "+name, func(s *garage.Shelf) error {
		if t.Get("kind") == "supply" {
			i := slices.IndexFunc(s.Supplies, func(p garage.Supply) bool { return garage.PlainName(p.Name) == key })
			if i >= 0 {
				back.Set("at", strconv.Itoa(i))
				back.Set("amount", s.Supplies[i].Amount)
				s.Supplies = slices.Delete(s.Supplies, i, i+1)
			}
			return nil
		}
		i := slices.IndexFunc(s.Tools, func(tool string) bool { return garage.PlainName(tool) == key })
		if i >= 0 {
			back.Set("at", strconv.Itoa(i))
			s.Tools = slices.Delete(s.Tools, i, i+1)
		}
		return nil
	})
	if err != nil {
		h.showShelf(w, r, statusOf(err), newTyped(), sentence(err))
		return
	}
	http.Redirect(w, r, "/shelf?"+back.Encode(), http.StatusSeeOther)
}

func (h *Host) downloadShelf(w http.ResponseWriter, r *http.Request) {
	s, err := h.shelf(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	h.sendText(w, r, "shelf.txt", "text/plain; charset=utf-8", []byte(shelfText(s)))
}

// sendText sends a file to be kept.
func (h *Host) sendText(w http.ResponseWriter, r *http.Request, name, media string, content []byte) {
	w.Header().Set("Content-Type", media)
	w.Header().Set("Content-Disposition", "attachment; filename*=UTF-8''"+url.PathEscape(name))
	w.Header().Set("Cache-Control", "no-store")
	if _, err := w.Write(content); err != nil {
		h.logger().Info("file not sent whole", "path", r.URL.Path, "error", err)
	}
}

func (h *Host) shelfAsText(w http.ResponseWriter, r *http.Request) {
	s, version, err := garage.LoadShelf(r.Context(), h.Documents)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	t := newTyped()
	t.Set("text", shelfText(s))
	t.Set("base", strconv.Itoa(version))
	h.showShelfText(w, r, http.StatusOK, t, "", "")
}

func (h *Host) showShelfText(w http.ResponseWriter, r *http.Request, status int, t *typed, problem, mend string) {
	f := formView{Title: "The shelf as text", Error: problem, Mend: mend, URL: "/shelf/text", File: true, Action: "Keep it like this",
		Lead:   "One thing a line under its heading; the amount of a supply behind an equals sign. What stands here becomes the shelf.",
		Hidden: parts.Pairs("base", t.Get("base")), Back: parts.Link{Label: "Shelf", Href: "/shelf"},
		Fields: []parts.FieldInfo{
			t.field(parts.FieldInfo{Type: "area", Name: "text", Label: "Tools and supplies", Rows: 18}),
			t.field(parts.FieldInfo{Type: "file", Name: "file", Label: "Or add the lines of a text file", Hint: "They are added to what stands above; what is there already stays once."}),
		}}
	p := h.page(r, parts.Shelf, f.Title)
	p.Reading = true
	h.show(w, r, status, formPage(p, f))
}

func (h *Host) keepShelfText(w http.ResponseWriter, r *http.Request) {
	t, files, err := readFiles(w, r, formLimit, "That is more than 1 MB, more than any shelf. Send a text file with one thing a line.")
	if err != nil {
		h.fail(w, r, err)
		return
	}
	text := t.text("text")
	for _, f := range files.File["file"] {
		added, problem := textOf(f)
		if problem != "" {
			t.refuse("file", "%s", problem)
			h.showShelfText(w, r, http.StatusUnprocessableEntity, t, "The file was not added.", "What you typed is still here.")
			return
		}
		text = mergeShelfText(text, added)
	}
	s := readShelf(text)
	_, err = garage.SaveShelf(r.Context(), h.Documents, s, garage.Edit{Base: numberFrom(t.Get("base")), At: h.Now(), Note: "as text"})
	if fault.Is(err, fault.Stale) {
		_, version, _ := garage.LoadShelf(r.Context(), h.Documents)
		t.Set("base", strconv.Itoa(version))
		h.showShelfText(w, r, http.StatusConflict, t, "The shelf was changed in the meantime, so this was not kept yet. What you typed is still here.",
			"Look at the shelf in another tab; keeping this again puts it in place of that.")
		return
	}
	if err != nil {
		h.showShelfText(w, r, statusOf(err), t, sentence(err), "What you typed is still here.")
		return
	}
	http.Redirect(w, r, "/shelf?said=Kept", http.StatusSeeOther)
}

func mergeShelfText(text, added string) string {
	s, more := readShelf(text), readShelf(added)
	s.Tools, s.Supplies = append(s.Tools, more.Tools...), append(s.Supplies, more.Supplies...)
	return shelfText(s)
}

// textOf reads an uploaded text file; what is no text is said in a sentence.
func textOf(f *multipart.FileHeader) (text, problem string) {
	file, err := f.Open()
	if err != nil {
		return "", "The file did not arrive whole. Send it again."
	}
	defer file.Close()
	content, err := io.ReadAll(file)
	if err != nil {
		return "", "The file did not arrive whole. Send it again."
	}
	if what := notText(content); what != "" {
		return "", what
	}
	text = strings.TrimPrefix(string(content), "\ufeff") // some editors mark UTF-8 with it
	return strings.ReplaceAll(text, "\r\n", "\n"), ""
}

// notText says what a file is that is not text.
func notText(content []byte) string {
	start := string(content[:min(len(content), 8)])
	for _, k := range []struct{ magic, name string }{
		{"%PDF", "a PDF"}, {"PK\x03\x04", "a ZIP file or an office document"}, {"\x89PNG", "a picture"}, {"\xff\xd8\xff", "a photo"},
		{"GIF8", "a picture"}, {"\x1f\x8b", "a compressed file"}, {"SQLite f", "a database"},
	} {
		if strings.HasPrefix(start, k.magic) {
			return "The file is " + k.name + ", not text. Choose the text file that was exported or written."
		}
	}
	if !utf8.Valid(content) || strings.ContainsRune(string(content), 0) {
		return "The file is not text in UTF-8. Save it as UTF-8 text, then send it again."
	}
	return ""
}
