package lan

import (
	"net/http"

	"lastbolt/fault"
	"lastbolt/web"
	"lastbolt/web/parts"
)

// ownRoutes are the owner's: which phones come in, and whose hands they are in.
func (d *Door) ownRoutes() *web.Router {
	mux := &web.Router{}
	mux.HandleFunc("GET /phones", d.list)
	mux.HandleFunc("GET /phones/pair", d.showCode)
	mux.HandleFunc("GET /phones/live", d.live)
	mux.HandleFunc("GET /phones/phone", func(w http.ResponseWriter, r *http.Request) { d.phone(w, r, http.StatusOK, "") })
	mux.HandleFunc("GET /phones/person", func(w http.ResponseWriter, r *http.Request) { d.person(w, r, http.StatusOK, "") })
	type again = func(w http.ResponseWriter, r *http.Request, status int, problem string)
	act := func(path string, show again, do func(r *http.Request) error) {
		mux.HandleFunc("POST /phones/"+path, func(w http.ResponseWriter, r *http.Request) {
			r.Body = http.MaxBytesReader(w, r.Body, formLimit)
			if err := do(r); err != nil {
				show(w, r, statusOf(err), fault.Say(err))
				return
			}
			http.Redirect(w, r, "/phones", http.StatusSeeOther)
		})
	}
	value := (*http.Request).PostFormValue
	act("rename", d.phone, func(r *http.Request) error { return d.Rename(value(r, "id"), value(r, "name")) })
	act("remove", d.phone, func(r *http.Request) error { return d.Remove(value(r, "id")) })
	act("add-person", d.person, func(r *http.Request) error {
		return d.AddPerson(value(r, "name"), Role(value(r, "role")), value(r, "pin"))
	})
	act("change-person", d.person, func(r *http.Request) error {
		return d.ChangePerson(value(r, "id"), Role(value(r, "role")), value(r, "pin"))
	})
	act("remove-person", d.person, func(r *http.Request) error { return d.RemovePerson(value(r, "id")) })
	return mux
}

func (d *Door) list(w http.ResponseWriter, r *http.Request) {
	var v listView
	own, _ := d.deviceOf(r)
	names := map[string]string{}
	for _, p := range d.People() {
		names[p.ID] = p.Name
		v.People = append(v.People, listRow{"/phones/person?id=" + p.ID, p.Name, string(p.Role), ""})
	}
	for _, x := range d.Devices() {
		row := listRow{"/phones/phone?id=" + x.ID, x.Name, "paired " + d.local(x.Paired) + ", last here " + d.local(x.Seen), ""}
		if p, known := d.who(x); known && p.Name != "" {
			row.Beneath += ", in the hand of " + p.Name
		}
		if x.ID == own.ID {
			row.Tag = "this phone"
		}
		v.Phones = append(v.Phones, row)
	}
	d.show(w, r, http.StatusOK, listPage(info(r, "Phones and people"), "", v))
}

func (d *Door) phone(w http.ResponseWriter, r *http.Request, status int, problem string) {
	id := r.FormValue("id")
	for _, x := range d.Devices() {
		if x.ID != id {
			continue
		}
		facts := []parts.Fact{{Label: "Paired", Value: d.local(x.Paired)}, {Label: "Last here", Value: d.local(x.Seen)}}
		if p, known := d.who(x); known && p.Name != "" {
			facts = append(facts, parts.Fact{Label: "In the hand of", Value: p.Name})
		}
		d.show(w, r, status, phonePage(info(r, x.Name), problem, x, facts))
		return
	}
	d.goneFromList(w, r, "This phone is not on the list any more.")
}

// person is the page of a person, or the one to add a person.
func (d *Door) person(w http.ResponseWriter, r *http.Request, status int, problem string) {
	id, people := r.FormValue("id"), d.People()
	if id == "" {
		typed := Person{Name: r.FormValue("name"), Role: Role(r.FormValue("role"))}
		if typed.Role == "" && len(people) > 0 {
			typed.Role = Mechanic
		}
		d.show(w, r, status, personPage(info(r, "Add a person"), problem, typed, len(people) == 0))
		return
	}
	for _, p := range people {
		if p.ID == id {
			d.show(w, r, status, personPage(info(r, p.Name), problem, p, false))
			return
		}
	}
	d.goneFromList(w, r, "This person is not on the list any more.")
}

func (d *Door) goneFromList(w http.ResponseWriter, r *http.Request, say string) {
	d.show(w, r, http.StatusNotFound, refusedPage(info(r, "Not there"), say, []parts.Link{{Label: "Phones and people", Href: "/phones"}}))
}

// handRoutes ask who has a paired phone in hand.
func (d *Door) handRoutes() *web.Router {
	mux := &web.Router{}
	mux.HandleFunc("GET /who", func(w http.ResponseWriter, r *http.Request) { d.askWho(w, r, http.StatusOK, "") })
	mux.HandleFunc("POST /who", func(w http.ResponseWriter, r *http.Request) {
		x, _ := d.deviceOf(r)
		token, err := d.SignIn(x.ID, r.PostFormValue("person"), r.PostFormValue("pin"))
		if err != nil {
			d.askWho(w, r, statusOf(err), fault.Say(err))
			return
		}
		setCookie(w, token)
		http.Redirect(w, r, "/", http.StatusSeeOther)
	})
	mux.HandleFunc("POST /who/hand-on", func(w http.ResponseWriter, r *http.Request) {
		x, _ := d.deviceOf(r)
		if err := d.HandOn(x.ID); err != nil {
			d.askWho(w, r, statusOf(err), fault.Say(err))
			return
		}
		http.Redirect(w, r, "/who", http.StatusSeeOther)
	})
	pin := func(w http.ResponseWriter, r *http.Request, status int, problem string) {
		d.show(w, r, status, pinPage(info(r, "Change my PIN"), problem))
	}
	mux.HandleFunc("GET /who/pin", func(w http.ResponseWriter, r *http.Request) { pin(w, r, http.StatusOK, "") })
	mux.HandleFunc("POST /who/pin", func(w http.ResponseWriter, r *http.Request) {
		x, _ := d.deviceOf(r)
		if err := d.ChangePIN(x, r.PostFormValue("old"), r.PostFormValue("pin")); err != nil {
			pin(w, r, statusOf(err), fault.Say(err))
			return
		}
		http.Redirect(w, r, "/who", http.StatusSeeOther)
	})
	return mux
}

func (d *Door) askWho(w http.ResponseWriter, r *http.Request, status int, problem string) {
	v := whoView{Chosen: r.FormValue("person")}
	title, page := "Who has this phone in hand?", bare
	if x, paired := d.deviceOf(r); paired {
		if p, known := d.who(x); known && problem == "" {
			v.Now, title, page = p.Name, "In your hand", info
		}
	}
	for _, p := range d.People() {
		v.People = append(v.People, parts.Option{Value: p.ID, Label: p.Name})
	}
	d.show(w, r, status, whoPage(page(r, title), problem, v))
}
