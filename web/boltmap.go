package web

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // photos are JPEG or PNG once they are kept
	_ "image/png"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/quantity"
)

// boltRoutes are the pages and taps of bolt maps, and the choice of the torque
// wrench.
func (h *Host) boltRoutes(mux *Router) {
	mux.HandleFunc("GET /jobs/{job}/bolts", h.showBolts)
	mux.HandleFunc("POST /jobs/{job}/bolts/tap", h.boltPost(tapBolts))
	mux.HandleFunc("POST /jobs/{job}/bolts/turn", h.boltPost(turnBolts))
	mux.HandleFunc("POST /jobs/{job}/bolts/order", h.boltPost(orderBolts))
	h.boltForms(mux)
	h.knownBolts(mux)
	h.wrenchRoutes(mux)
}

// showBolts is the map in whatever phase it is. Its first opening with the step
// in hand starts the step's minutes, as opening the step's page does.
func (h *Host) showBolts(w http.ResponseWriter, r *http.Request) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	item := r.FormValue("item")
	m := s.BoltMap(item)
	if m == nil {
		http.Redirect(w, r, jobURL(s.ID, "bolts/start")+"?item="+queryEscape(item), http.StatusSeeOther)
		return
	}
	if st := m.Step; st != nil && m.Phase != job.PhaseBuild && s.Next == st {
		if h.resumption(s).Needed {
			http.Redirect(w, r, jobURL(s.ID, "resume"), http.StatusSeeOther)
			return
		}
		if st.Begun.IsZero() && !s.IsReleased() && s.Pause == nil {
			if madeAhead(w, r) {
				return
			}
			if again, err := h.Book.Do(r.Context(), s.ID, job.Begin(st.ID)); err == nil {
				s, m = again, again.BoltMap(item)
			}
		}
	}
	h.boltsAgain(w, r, http.StatusOK, s, m, "")
}

// boltsAgain shows the map's page, with what went wrong.
func (h *Host) boltsAgain(w http.ResponseWriter, r *http.Request, status int, s *job.State, m *job.BoltMap, problem string) {
	v := h.viewBolts(s, m, boltAsk{mode: r.FormValue("mode"), bolt: r.FormValue("bolt"), hand: r.FormValue("hand")})
	v.Error = problem
	p := h.jobFrame(r, s, "Bolts of "+m.Name)
	p.Awake = true
	if m.Step != nil {
		p.BackHref = stepURL(s.ID, m.Step.ID)
	}
	h.show(w, r, status, boltsPage(p, v))
}

// boltPost runs a tap on a bolt map: it gives the address to go on to. What is
// refused comes back on the map's own page.
func (h *Host) boltPost(act func(h *Host, r *http.Request, s *job.State, m *job.BoltMap) (string, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, formLimit)
		if err := parseForm(r); err != nil {
			h.fail(w, r, formError(err))
			return
		}
		s, err := h.load(r.Context(), r.PathValue("job"))
		if err != nil {
			h.fail(w, r, err)
			return
		}
		m := s.BoltMap(r.FormValue("item"))
		if m == nil {
			h.fail(w, r, fault.New(fault.NotFound, "There is no bolt map of that item in this job. Begin one at the step that takes it off."))
			return
		}
		to, err := act(h, r, s, m)
		if err == nil {
			http.Redirect(w, r, to, http.StatusSeeOther)
			return
		}
		refusal, known := errors.AsType[*job.Error](err)
		if !known {
			h.fail(w, r, err)
			return
		}
		if again, err := h.load(r.Context(), s.ID); err == nil {
			s = again
		}
		h.boltsAgain(w, r, statusOf(err), s, s.BoltMap(m.Item), refusal.Text)
	}
}

// tapBolts puts what was tapped, or the places that were written, on the map.
func tapBolts(h *Host, r *http.Request, s *job.State, m *job.BoltMap) (string, error) {
	mode := cmp.Or(r.FormValue("mode"), "bolt")
	onward := boltsURL(s, m.Item, "mode", mode)
	if mode == "move" {
		onward = boltsURL(s, m.Item)
	}
	if text := r.FormValue("places"); strings.TrimSpace(text) != "" {
		return onward, h.writtenPlaces(r, s, m, mode, text)
	}
	x, err1 := strconv.ParseFloat(r.FormValue("x"), 64)
	y, err2 := strconv.ParseFloat(r.FormValue("y"), 64)
	if err1 != nil || err2 != nil {
		return "", &job.Error{Code: job.CodeMissing, Text: "Tap on the picture, or write a place such as 20, 15."}
	}
	_, err := h.Book.Do(r.Context(), s.ID, placeAct(m, mode, r.FormValue("bolt"), job.Point{X: x, Y: y}, nil))
	return onward, err
}

// placeAct is what a place on the picture means in a mode.
func placeAct(m *job.BoltMap, mode, bolt string, at job.Point, length *quantity.Written[quantity.Length]) job.Action {
	yes := true
	switch mode {
	case "edge":
		return func(rec *job.Recorder, s *job.State) ([]job.Event, error) {
			now := s.BoltMap(m.Item)
			return job.ChangeBoltMap(job.BoltMapSet{Item: m.Item, Outline: append(slices.Clone(now.Outline), at)})(rec, s)
		}
	case "move":
		return job.SetBolt(job.BoltSet{Item: m.Item, Bolt: bolt, At: &at})
	case "keep":
		return job.SetBolt(job.BoltSet{Item: m.Item, At: &at, Keep: &yes})
	case "hidden":
		return job.SetBolt(job.BoltSet{Item: m.Item, At: &at, Hidden: &yes, Length: length})
	}
	return job.SetBolt(job.BoltSet{Item: m.Item, At: &at, Length: length})
}

func (h *Host) writtenPlaces(r *http.Request, s *job.State, m *job.BoltMap, mode, text string) error {
	for i, line := range strings.Split(text, "\n") {
		if strings.TrimSpace(line) == "" {
			continue
		}
		place, err := readPlace(line)
		if err == nil && m.MM() == 0 {
			err = &job.Error{Code: job.CodeMissing, Text: "Millimetres need a scale: write how wide the sheet is under Count, picture, or measure between two bolts."}
		}
		if err == nil {
			_, err = h.Book.Do(r.Context(), s.ID, placeAct(m, mode, r.FormValue("bolt"), place.on(m), place.length))
		}
		if refusal, ok := errors.AsType[*job.Error](err); ok {
			return &job.Error{Code: refusal.Code, Text: fmt.Sprintf("Line %d, %q: %s The lines before it are on the map.", i+1, strings.TrimSpace(line), refusal.Text)}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// turnBolts records what was done to a bolt.
func turnBolts(h *Host, r *http.Request, s *job.State, m *job.BoltMap) (string, error) {
	d := job.BoltTurned{Item: m.Item, Bolts: r.Form["bolt"], Turn: job.Turn(r.FormValue("turn")), Why: r.FormValue("why")}
	if pass := r.FormValue("pass"); pass != "" && d.Turn == job.Clicked {
		n, err := strconv.Atoi(pass)
		if err != nil {
			return "", &job.Error{Code: job.CodeWrong, Text: "The pass is a whole number."}
		}
		d.Pass = n
	}
	if text := strings.TrimSpace(cmp.Or(r.FormValue("length"), r.FormValue("other"), r.FormValue("expected"))); text != "" {
		length, err := readLength(text)
		if err != nil {
			return "", err
		}
		d.Length = length
	}
	after, err := h.Book.Do(r.Context(), s.ID, job.TurnBolts(d))
	if err != nil {
		return "", err
	}
	hand := ""
	if d.Turn == job.RunIn && !d.Length.IsZero() && len(after.BoltMap(m.Item).Lengths()) > 1 {
		for _, b := range after.BoltMap(m.Item).Left() {
			if b.Length.String() == d.Length.String() {
				hand = d.Length.String()
			}
		}
	}
	return boltsURL(s, m.Item, "hand", hand), nil
}

// readLength reads a length; a bare number is millimetres, as the field says.
func readLength(text string) (quantity.Written[quantity.Length], error) {
	l, err := quantity.ParseLength(text)
	if err != nil {
		if bare, again := quantity.ParseLength(text + " mm"); again == nil {
			return bare, nil
		}
		return l, &job.Error{Code: job.CodeWrong, Text: fmt.Sprintf("%q is not a length: write it with its unit, as in 35 mm.", text)}
	}
	return l, nil
}

// orderBolts works out the order, or keeps the maker's as it was typed.
func orderBolts(h *Host, r *http.Request, s *job.State, m *job.BoltMap) (string, error) {
	passes, err := strconv.Atoi(cmp.Or(strings.TrimSpace(r.FormValue("passes")), strconv.Itoa(job.UsualPasses)))
	if err != nil {
		return "", &job.Error{Code: job.CodeWrong, Text: "Write the passes as a whole number, as in 2."}
	}
	var order job.BoltOrdered
	if typed := strings.TrimSpace(r.FormValue("typed")); typed != "" {
		order, err = job.TypedOrder(m, typed, passes)
	} else {
		order, err = job.WorkOutBolts(r.Context(), m, passes, r.FormValue("around") == "yes")
	}
	if err != nil {
		return "", err
	}
	_, err = h.Book.Do(r.Context(), s.ID, job.OrderBolts(order))
	return boltPage(s, m, "order"), err
}

// picture keeps the photo of a form, where one came with it, and says how high
// it is for its width.
func (h *Host) picture(r *http.Request) (name, media string, aspect float64, err error) {
	file, _, err := r.FormFile("photo")
	if err != nil {
		return "", "", 0, nil // no photo was chosen
	}
	defer file.Close()
	content, err := io.ReadAll(file)
	if err != nil || len(content) == 0 {
		return "", "", 0, err
	}
	if name, media, err = h.keepPhoto(r.Context(), content); err != nil {
		return "", "", 0, err
	}
	aspect, err = h.aspect(r, name)
	return name, media, aspect, err
}

// aspect is height over width of a photo that is kept, as it is shown.
func (h *Host) aspect(r *http.Request, name string) (float64, error) {
	content, _, err := h.Files.Open(r.Context(), name)
	if err != nil {
		return 0, err
	}
	size, _, err := image.DecodeConfig(bytes.NewReader(content))
	if err != nil || size.Width == 0 {
		return 0, fault.Wrap(err, fault.Bad, "The photo could not be read. Send it as JPEG.")
	}
	return float64(size.Height) / float64(size.Width), nil
}
