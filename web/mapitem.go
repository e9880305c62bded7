package web

import (
	"fmt"
	"net/http"

	"lastbolt/fault"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// An itemView is one item of a map with its ways.
type itemView struct {
	Map                   parts.Link
	Name, Notes           string
	Error, Mend           string
	Tags                  []tagView
	Ways                  []wayView
	InWayOf               []rowView
	Drawing               string
	Edit, AddWay, AddWork string
	Remove                parts.ActionInfo
}

type tagView struct{ Name, State string }

type wayView struct {
	Title, Notes string
	Groups       []groupView
	Short        []parts.Fact // what a word or two says
	Links        []parts.Link
	Remove       parts.ActionInfo
}

// A groupView is a list of facts under a heading, or a few words.
type groupView struct {
	Title, Text string
	Unknown     bool // nothing is said, which is not the same as none
	Facts       []parts.Fact
}

func adviceCount(list []problemView) string {
	return plural(len(list), "piece of advice", "pieces of advice")
}

func versionCount(list []rowView) string { return plural(len(list), "version", "versions") }

func (h *Host) showItem(w http.ResponseWriter, r *http.Request) {
	mr, err := h.readMap(r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	h.showItemOf(w, r, http.StatusOK, mr, "", "")
}

func (h *Host) showItemOf(w http.ResponseWriter, r *http.Request, status int, mr mapRead, problem, mend string) {
	it := mr.m.Item(r.PathValue("item"))
	if it == nil {
		h.fail(w, r, noItem(r.PathValue("item")))
		return
	}
	v := viewItem(mr, it)
	v.Error, v.Mend = problem, mend
	p := h.page(r, parts.Maps, it.Name)
	h.show(w, r, status, itemPage(p, v))
}

func noItem(id string) error {
	return fault.New(fault.NotFound, "There is no item %q on this map. It may have been taken off; older versions keep it.", id)
}

func viewItem(mr mapRead, it *access.Item) itemView {
	m := mr.m
	v := itemView{Map: parts.Link{Label: m.Name, Href: mr.at(mapURL(m.ID, ""))}, Name: it.Name, Notes: it.Notes, InWayOf: inWayOf(mr, it.ID),
		Drawing: drawAround(mr, it.ID)}
	if it.Area != "" {
		v.Tags = append(v.Tags, tagView{it.Area, ""})
	}
	if it.Kind == access.Condition {
		v.Tags = append(v.Tags, tagView{"condition of the vehicle", ""})
	}
	if it.Repeats {
		v.Tags = append(v.Tags, tagView{"as often as wanted", ""})
	}
	if it.Immobile {
		v.Tags = append(v.Tags, tagView{"does not drive while off", "open"})
	}
	if it.Critical != "" {
		v.Tags = append(v.Tags, tagView{"safety: " + it.Critical, "full"})
	}
	if m.Invented {
		v.Tags = append(v.Tags, tagView{"invented values", "open"})
	}
	for i := range it.Ways {
		w := viewWay(mr, it, &it.Ways[i])
		if !mr.old() {
			w.Links = []parts.Link{{Label: "Edit this way", Href: itemURL(m.ID, it.ID, "way?id="+queryEscape(it.Ways[i].ID))}}
			if len(it.Ways) > 1 {
				w.Remove = parts.ActionInfo{URL: itemURL(m.ID, it.ID, "remove-way"), Label: "Take this way out", Hidden: parts.Pairs("id", it.Ways[i].ID, "base", fmt.Sprint(mr.newest))}
			}
		}
		v.Ways = append(v.Ways, w)
	}
	for i := range it.Work {
		w := viewWork(mr, &it.Work[i])
		if !mr.old() {
			w.Links = []parts.Link{{Label: "Edit this work", Href: itemURL(m.ID, it.ID, "work?action="+queryEscape(string(it.Work[i].Action)))}}
			w.Remove = parts.ActionInfo{URL: itemURL(m.ID, it.ID, "remove-work"), Label: "Take this work out", Hidden: parts.Pairs("action", string(it.Work[i].Action), "base", fmt.Sprint(mr.newest))}
		}
		v.Ways = append(v.Ways, w)
	}
	if !mr.old() {
		v.Edit, v.AddWay = itemURL(m.ID, it.ID, "edit"), itemURL(m.ID, it.ID, "way")
		v.AddWork = itemURL(m.ID, it.ID, "work")
		v.Remove = parts.ActionInfo{URL: itemURL(m.ID, it.ID, "remove"), Label: "Take it off the map", Hidden: parts.Pairs("base", fmt.Sprint(mr.newest))}
	}
	return v
}
