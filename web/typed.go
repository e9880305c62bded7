package web

import (
	"fmt"
	"math/big"
	"mime/multipart"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/pattern"
	"lastbolt/plan/access"
	"lastbolt/quantity"
	"lastbolt/web/parts"
)

// A typed is a form on its way between page and value: what stands in its
// fields, and a sentence beside each field that cannot be used as it is.
type typed struct {
	url.Values
	wrong map[string]string
}

func newTyped() *typed { return &typed{Values: url.Values{}, wrong: map[string]string{}} }

// readForm reads a form without files.
func readForm(w http.ResponseWriter, r *http.Request) (*typed, error) {
	r.Body = http.MaxBytesReader(w, r.Body, formLimit)
	if err := parseForm(r); err != nil {
		return nil, formError(err)
	}
	return &typed{Values: r.PostForm, wrong: map[string]string{}}, nil
}

// readFiles reads a form with files of together at most limit bytes; over it
// the sentence tooLarge is the error.
func readFiles(w http.ResponseWriter, r *http.Request, limit int64, tooLarge string) (*typed, *multipart.Form, error) {
	r.Body = http.MaxBytesReader(w, r.Body, limit)
	if err := r.ParseMultipartForm(limit); err != nil {
		err = formError(err)
		if fault.Is(err, fault.TooLarge) {
			err = fault.Wrap(err, fault.TooLarge, "%s", tooLarge)
		}
		return nil, nil, err
	}
	return &typed{Values: url.Values(r.MultipartForm.Value), wrong: map[string]string{}}, r.MultipartForm, nil
}

func (t *typed) refuse(name, sentence string, args ...any) {
	if t.wrong[name] == "" {
		t.wrong[name] = fmt.Sprintf(sentence, args...)
	}
}

// field fills a field with what stands in the form and what is wrong with it.
func (t *typed) field(f parts.FieldInfo) parts.FieldInfo {
	f.Value, f.Error = t.Get(f.Name), t.wrong[f.Name]
	f.Checked = t.ticked(f.Name)
	return f
}

func (t *typed) ticked(name string) bool { return t.Get(name) == "yes" }

func (t *typed) tick(name string, on bool) {
	if on {
		t.Set(name, "yes")
	}
}

// line reads one line of text, trimmed.
func (t *typed) line(name string) string { return strings.TrimSpace(t.Get(name)) }

// text reads text of several lines; browsers send CRLF.
func (t *typed) text(name string) string {
	return strings.TrimRight(strings.ReplaceAll(t.Get(name), "\r\n", "\n"), " \t\n")
}

// lines reads one thing a line, without blank ones.
func (t *typed) lines(name string) []string {
	var out []string
	for l := range strings.SplitSeq(t.text(name), "\n") {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// whole reads a whole number; blank is 0.
func (t *typed) whole(name string) int {
	text := t.line(name)
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.refuse(name, "%q is not a whole number. Write one as in 4.", text)
	}
	return n
}

var plainNumber = pattern.Of(`^\d{1,9}([.,]\d{1,9})?$`)

// number reads a number that is not negative, with a point or a comma before
// its decimals; blank is 0.
func (t *typed) number(name string) float64 {
	text := t.line(name)
	if text == "" {
		return 0
	}
	comma := strings.IndexByte(text, ',')
	switch {
	case !plainNumber().MatchString(text):
		t.refuse(name, "%q is not a number from 0 up. Write it as in 5 or 2.5, without a unit.", text)
		return 0
	case comma > 0 && len(text)-comma == 4:
		t.refuse(name, "%q can be read two ways. Write it without the comma, or with a point.", text)
		return 0
	}
	f, _ := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return f
}

// span reads minutes low, likely and high; a single figure stands for all.
func (t *typed) span(name string) access.Span {
	names := [3]string{name + ".low", name + ".likely", name + ".high"}
	var figures [3]float64
	given, last := 0, 0.0
	for i, n := range names {
		if figures[i] = t.number(n); t.line(n) != "" {
			given, last = given+1, figures[i]
		}
	}
	switch given {
	case 1:
		return access.Span{Low: last, Likely: last, High: last}
	case 2:
		t.refuse(names[0], "Fill in all three, or one of them for all.")
	}
	return access.Span{Low: figures[0], Likely: figures[1], High: figures[2]}
}

func (t *typed) setSpan(name string, s access.Span) {
	t.Set(name+".low", numberText(s.Low))
	t.Set(name+".likely", numberText(s.Likely))
	t.Set(name+".high", numberText(s.High))
}

func numberText(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// quantityOf reads a number with its unit; blank means not known.
func quantityOf[Q quantity.Measured](t *typed, name string) quantity.Written[Q] {
	text := t.line(name)
	if text == "" {
		return quantity.Written[Q]{}
	}
	q, err := quantity.Parse[Q](text)
	if err != nil {
		t.refuse(name, "%s", capital(err.Error())+".")
	}
	return q
}

// odds reads how often something happens: "1 in 8", "12 %" or "0.12".
func (t *typed) odds(name string) float64 {
	text := strings.ToLower(t.line(name))
	if text == "" {
		return 0
	}
	r, ok := oddsOf(text)
	if !ok || r.Sign() < 0 || r.Cmp(big.NewRat(1, 1)) > 0 {
		t.refuse(name, "%q does not say how often. Write it as in 1 in 8, or 12 %%.", text)
		return 0
	}
	f, _ := r.Float64()
	return f
}

func oddsOf(text string) (*big.Rat, bool) {
	times, in, isOdds := strings.Cut(text, " in ")
	percent, isPercent := strings.CutSuffix(text, "%")
	a, okA := ratOf(times)
	switch {
	case isOdds:
		b, okB := ratOf(in)
		if !okA || !okB || b.Sign() == 0 {
			return nil, false
		}
		return a.Quo(a, b), true
	case isPercent:
		p, ok := ratOf(percent)
		if !ok {
			return nil, false
		}
		return p.Quo(p, big.NewRat(100, 1)), true
	}
	return a, okA
}

func ratOf(text string) (*big.Rat, bool) {
	text = strings.Replace(strings.TrimSpace(text), ",", ".", 1)
	if len(text) > 30 || strings.ContainsAny(text, "/eEpPxX_") {
		return nil, false
	}
	return new(big.Rat).SetString(text)
}

// oddsPercent writes odds as percent, with just the digits they have.
func oddsPercent(f float64) string {
	r, ok := new(big.Rat).SetString(numberText(f))
	if !ok {
		return ""
	}
	text := r.Mul(r, big.NewRat(100, 1)).FloatString(20)
	return strings.TrimRight(strings.TrimRight(text, "0"), ".") + " %"
}

// rows counts the rows of a list in the form: names are "list.0.field".
func (t *typed) rows(list string) int {
	n := 0
	for name := range t.Values {
		rest, ok := strings.CutPrefix(name, list+".")
		if !ok {
			continue
		}
		at, _, _ := strings.Cut(rest, ".")
		if i, err := strconv.Atoi(at); err == nil && i >= n && i < mostRows {
			n = i + 1
		}
	}
	return n
}

// filled counts the rows in which something stands.
func (t *typed) filled(list string) int {
	n := 0
	t.each(list, func(string) { n++ })
	return n
}

// mostRows bounds a list in a form; no way on a vehicle has as many.
const mostRows = 500

// each calls read with the prefix ("list.0.") of every row in which something
// stands and which is not to be taken out.
func (t *typed) each(list string, read func(row string)) {
	for i := range t.rows(list) {
		if row := rowPrefix(list, i); t.rowFilled(row) && !t.ticked(row+"gone") {
			read(row)
		}
	}
}

func rowPrefix(list string, i int) string { return fmt.Sprintf("%s.%d.", list, i) }

func (t *typed) rowFilled(row string) bool {
	for name, values := range t.Values {
		if rest, ok := strings.CutPrefix(name, row); ok && rest != "id" && strings.TrimSpace(strings.Join(values, "")) != "" {
			return true
		}
	}
	return false
}

func capital(s string) string {
	if s == "" {
		return ""
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

// dayTyped reads a date as a date field sends it, in the host's zone.
func (h *Host) dayTyped(t *typed, name string) time.Time {
	text := t.line(name)
	if text == "" {
		return time.Time{}
	}
	at, err := time.ParseInLocation(time.DateOnly, text, h.zone())
	if err != nil {
		t.refuse(name, "%q is not a date. Write it as year-month-day, as in 2026-03-14.", text)
	}
	return at
}
