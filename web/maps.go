package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

func (h *Host) mapRoutes(mux *Router) {
	mux.HandleFunc("GET /maps", h.listMaps)
	mux.HandleFunc("GET /new/map", func(w http.ResponseWriter, r *http.Request) { h.showNewMap(w, r, http.StatusOK, newTyped(), "") })
	mux.HandleFunc("POST /new/map", h.startMap)
	mux.HandleFunc("GET /import/map", func(w http.ResponseWriter, r *http.Request) {
		h.showImport(w, r, http.StatusOK, newTyped(), editView{})
	})
	mux.HandleFunc("POST /import/map", h.importMap)
	mux.HandleFunc("GET /maps/{map}", h.showMap)
	mux.HandleFunc("GET /maps/{map}/map.yaml", h.downloadMap)
	mux.HandleFunc("GET /maps/{map}/drawing.svg", h.downloadDrawing)
	mux.HandleFunc("GET /maps/{map}/items/{item}", h.showItem)
	mux.HandleFunc("POST /maps/{map}/restore", h.restoreMap)
}

func mapURL(id, rest string) string {
	u := "/maps/" + url.PathEscape(id)
	if rest != "" {
		u += "/" + rest
	}
	return u
}

func itemURL(mapID, item, rest string) string {
	return mapURL(mapID, "items/"+url.PathEscape(item)+prefixed("/", rest))
}

// A mapRead is a version of a map that a page shows.
type mapRead struct {
	m      *access.Map
	doc    garage.Document
	newest int
}

func (m mapRead) old() bool { return m.doc.Version != m.newest }

// at carries the version on to the next page, where it is not the newest.
func (m mapRead) at(link string) string {
	if m.old() {
		return fmt.Sprintf("%s?version=%d", link, m.doc.Version)
	}
	return link
}

// readMap reads the version of the map that the address names, or the newest.
func (h *Host) readMap(r *http.Request) (mapRead, error) {
	id := r.PathValue("map")
	newest, err := h.Documents.Latest(r.Context(), garage.KindMap, id)
	if fault.Is(err, fault.NotFound) {
		return mapRead{}, fault.Wrap(err, fault.NotFound, "There is no such map here. Look for it under Maps.")
	}
	if err != nil {
		return mapRead{}, err
	}
	n := numberFrom(r.URL.Query().Get("version"))
	if n == 0 {
		n = newest.Version
	}
	m, doc, err := h.kept().LoadVersion(r.Context(), id, n)
	if fault.Is(err, fault.NotFound) {
		return mapRead{}, fault.Wrap(err, fault.NotFound, "The map has no version %d. The newest is %d.", n, newest.Version)
	}
	return mapRead{m, doc, newest.Version}, err
}

// mapsView is the list of maps.
type mapsView struct {
	Rows []rowView
}

func (h *Host) listMaps(w http.ResponseWriter, r *http.Request) {
	list, err := h.maps(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	var v mapsView
	for _, m := range list {
		row := rowView{Href: mapURL(m.ID, ""), Name: m.Name}
		if m.Broken != "" {
			row.Beneath, row.Tag, row.State = m.Broken, "cannot be read", "now"
		} else {
			row.Beneath = strings.Join([]string{plural(m.Items, "item", "items"), plural(m.Fasteners, "fastener", "fasteners"), "last changed " + h.when(m.At), fmt.Sprintf("version %d", m.Version)}, " · ")
		}
		if m.Invented {
			row.Tag, row.State = "invented values", "open"
		}
		v.Rows = append(v.Rows, row)
	}
	h.show(w, r, http.StatusOK, mapsPage(h.page(r, parts.Maps, "Maps"), v))
}

// A mapView is one map: what is on it, by area, and the picture of it.
type mapView struct {
	Name, About, Query string
	SearchURL          string
	Invented           bool
	Old                string
	OldNewest          string
	Restore            parts.ActionInfo
	Drawing            string
	DrawingURL         string
	Areas              []areaView
	Count              string
	Advice             []problemView
	Versions           []rowView
	Links              []parts.Link
	Add, Job           string
}

type areaView struct {
	Name string
	Rows []rowView
}

func (h *Host) showMap(w http.ResponseWriter, r *http.Request) {
	mr, err := h.readMap(r)
	if fault.Is(err, fault.Damaged) {
		h.showBrokenMap(w, r, err)
		return
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v, err := h.viewMap(r.Context(), mr, strings.TrimSpace(r.URL.Query().Get("q")))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	h.show(w, r, http.StatusOK, mapPage(h.page(r, parts.Maps, v.Name), v))
}

// showBrokenMap still offers the text and the older versions of a map that
// cannot be read.
func (h *Host) showBrokenMap(w http.ResponseWriter, r *http.Request, problem error) {
	id := r.PathValue("map")
	versions, err := h.mapVersions(r.Context(), id, 0)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := mapView{Name: id, Old: sentence(problem), Versions: versions, Links: []parts.Link{{Label: "Download", Href: mapURL(id, "map.yaml")}}}
	h.show(w, r, statusOf(problem), mapPage(h.page(r, parts.Maps, id), v))
}

func (h *Host) viewMap(ctx context.Context, mr mapRead, query string) (mapView, error) {
	m := mr.m
	v := mapView{Name: m.Name, About: m.About, Invented: m.Invented, Query: query, SearchURL: mapURL(m.ID, ""),
		DrawingURL: mr.at(mapURL(m.ID, "drawing.svg")), Links: []parts.Link{{Label: "Download", Href: mr.at(mapURL(m.ID, "map.yaml"))}}}
	found := m.Search(query)
	v.Areas = areasOf(mr, found)
	v.Count = plural(len(m.Items), "item", "items")
	if query != "" {
		v.Count = fmt.Sprintf("%d of %s", len(found), v.Count)
	} else if len(m.Items) <= mostDrawn {
		v.Drawing = drawMap(mr)
	}
	var err error
	if v.Versions, err = h.mapVersions(ctx, m.ID, mr.newest); err != nil {
		return v, err
	}
	if mr.old() {
		v.Old = fmt.Sprintf("This is version %d, kept on %s. The newest is version %d.", mr.doc.Version, h.when(mr.doc.At), mr.newest)
		v.OldNewest = mapURL(m.ID, "")
		v.Restore = parts.ActionInfo{URL: mapURL(m.ID, "restore"), Label: "Make this the newest", Sub: "the others stay", Hidden: parts.Pairs("version", fmt.Sprint(mr.doc.Version), "base", fmt.Sprint(mr.newest))}
		return v, nil
	}
	v.Add, v.Job = mapURL(m.ID, "add-item"), "/jobs/new?map="+url.QueryEscape(m.ID)
	v.Links = append(v.Links, parts.Link{Label: "Name, places, set-up", Href: mapURL(m.ID, "about")},
		parts.Link{Label: "What jobs say", Href: mapURL(m.ID, "learned")})
	for _, p := range access.Check(m).Advice() {
		v.Advice = append(v.Advice, problemView{What: capital(p.What), Mend: capital(p.Mend), Where: placeInMap(m, p.Path)})
	}
	return v, nil
}

// mostDrawn is how many items a drawing is readable with on a page; beyond it
// the drawing is a file of its own.
const mostDrawn = 150

func areasOf(mr mapRead, items []*access.Item) []areaView {
	var out []areaView
	for _, it := range items {
		i := slices.IndexFunc(out, func(a areaView) bool { return a.Name == it.Area })
		if i < 0 {
			i = len(out)
			out = append(out, areaView{Name: it.Area})
		}
		out[i].Rows = append(out[i].Rows, itemRow(mr, it))
	}
	for i := range out {
		out[i].Name = capital(out[i].Name)
		if out[i].Name == "" {
			out[i].Name = "No area given"
		}
	}
	return out
}

func itemRow(mr mapRead, it *access.Item) rowView {
	row := rowView{Href: mr.at(itemURL(mr.m.ID, it.ID, "")), Name: it.Name}
	var beneath []string
	if len(it.Ways) > 0 {
		w := &it.Ways[0]
		n := 0
		for _, f := range w.Fasteners.Items {
			n += f.Count
		}
		if n > 0 {
			beneath = append(beneath, plural(n, "fastener", "fasteners"))
		}
		back := minutesText(w.Minutes.On.Likely) + " back"
		if w.Guess {
			back += " (a guess)"
		}
		beneath = append(beneath, minutesText(w.Minutes.Off.Likely)+" off", back)
	}
	if len(it.Ways) > 1 {
		beneath = append(beneath, plural(len(it.Ways), "way", "ways"))
	}
	row.Beneath = strings.Join(beneath, " · ")
	switch {
	case it.Critical != "":
		row.Tag = it.Critical
	case it.Kind == access.Condition:
		row.Tag = "condition"
	}
	return row
}

func (h *Host) mapVersions(ctx context.Context, id string, newest int) ([]rowView, error) {
	history, err := h.kept().History(ctx, id)
	if err != nil {
		return nil, err
	}
	var rows []rowView
	for _, d := range history {
		row := rowView{Href: fmt.Sprintf("%s?version=%d", mapURL(id, ""), d.Version), Name: fmt.Sprintf("Version %d", d.Version), Beneath: strings.Join(nonEmpty(h.when(d.At), d.By, d.Note), " · ")}
		if d.Version == newest {
			row.Tag, row.Href = "newest", mapURL(id, "")
		}
		rows = append(rows, row)
	}
	return rows, nil
}

func (h *Host) downloadMap(w http.ResponseWriter, r *http.Request) {
	id, n := r.PathValue("map"), numberFrom(r.URL.Query().Get("version"))
	var d garage.Document
	var err error
	if n > 0 {
		d, err = h.Documents.Version(r.Context(), garage.KindMap, id, n)
	} else {
		d, err = h.Documents.Latest(r.Context(), garage.KindMap, id)
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	h.sendText(w, r, id+".yaml", "application/yaml; charset=utf-8", d.Body)
}

func (h *Host) downloadDrawing(w http.ResponseWriter, r *http.Request) {
	mr, err := h.readMap(r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	h.sendText(w, r, mr.m.ID+".svg", "image/svg+xml", access.Draw(mr.m, access.DrawOptions{}))
}

func (h *Host) restoreMap(w http.ResponseWriter, r *http.Request) {
	t, err := readForm(w, r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	id := r.PathValue("map")
	d, err := h.Documents.Version(r.Context(), garage.KindMap, id, numberFrom(t.Get("version")))
	if err == nil {
		note := fmt.Sprintf("version %d again", d.Version)
		_, _, err = h.kept().Save(r.Context(), id, d.Body, garage.Edit{Base: numberFrom(t.Get("base")), At: h.Now(), Note: note})
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	http.Redirect(w, r, mapURL(id, "")+"?said="+url.QueryEscape(fmt.Sprintf("Version %d is the newest again", d.Version)), http.StatusSeeOther)
}

// placeInMap names the item and way that a path of a problem leads to.
func placeInMap(m *access.Map, path string) string {
	i, rest, ok := indexOf(path, "items")
	if !ok || i >= len(m.Items) {
		return ""
	}
	it := &m.Items[i]
	if j, _, ok := indexOf(rest, ".ways"); ok && j < len(it.Ways) && len(it.Ways) > 1 {
		return it.Name + ", " + it.Ways[j].Title()
	}
	return it.Name
}

// indexOf parts "items[3].ways[0].needs" into 3 and ".ways[0].needs".
func indexOf(path, list string) (i int, rest string, ok bool) {
	after, found := strings.CutPrefix(path, list+"[")
	number, rest, closed := strings.Cut(after, "]")
	if !found || !closed {
		return 0, path, false
	}
	return numberFrom(number), rest, true
}
