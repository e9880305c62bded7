package access

import (
	"embed"
	"slices"
	"strings"
	"sync"

	"lastbolt/fault"
)

//go:embed starters/*.yaml
var starterFiles embed.FS

// A Starter is a generic map of one family of parts, to begin a map of one's
// own with. It has no torques, threads or amounts: those are the vehicle's.
type Starter struct {
	ID    string `json:"id"`
	Name  string `json:"name"`
	About string `json:"about"`
	Items int    `json:"items"`
}

// starterNote ends the about of every starter.
const starterNote = "A starting point for any vehicle, not a description of one: change what differs. Minutes and odds are estimates from common practice, without a source. Counts of fasteners are usual ones: count yours. No torque, thread or filling amount is given: look them up in the maker's document."

// loadStarters reads the bundled maps once. They are part of the program, and
// a test reads each: a fault in one is the program's.
var loadStarters = sync.OnceValue(func() []*Map {
	files, err := starterFiles.ReadDir("starters")
	if err != nil {
		panic("access: " + err.Error())
	}
	var maps []*Map
	for _, f := range files {
		src, err := starterFiles.ReadFile("starters/" + f.Name())
		if err != nil {
			panic("access: " + err.Error())
		}
		m, err := Parse(f.Name(), src)
		if err != nil {
			panic("access: " + err.Error())
		}
		maps = append(maps, m)
	}
	return maps
})

// Starters lists the bundled starters by id.
func Starters() []Starter {
	var list []Starter
	for _, m := range loadStarters() {
		about, _ := strings.CutSuffix(m.About, " "+starterNote)
		list = append(list, Starter{ID: m.ID, Name: m.Name, About: about, Items: len(m.Items)})
	}
	return list
}

// FromStarter makes a new map from one or several starters. What they share,
// such as the vehicle raised or the battery off, is in it once.
func FromStarter(ids ...string) (*Map, error) {
	if len(ids) == 0 {
		return nil, fault.New(fault.Bad, "No starter was chosen; choose %s.", orList(starterIDs()))
	}
	out := &Map{Format: Format}
	var names, abouts, used []string
	for _, id := range ids {
		all := loadStarters()
		i := slices.IndexFunc(all, func(m *Map) bool { return m.ID == id })
		if i < 0 {
			return nil, fault.New(fault.NotFound, "There is no starter %s; %s", quote(id), didYouMean(id, starterIDs(), "choose "+orList(starterIDs())+"."))
		}
		if slices.Contains(used, id) {
			continue
		}
		if err := out.Merge(all[i]); err != nil {
			return nil, err
		}
		about, _ := strings.CutSuffix(all[i].About, " "+starterNote)
		used, names, abouts = append(used, id), append(names, all[i].Name), append(abouts, about)
	}
	out.ID = orItem(slug(strings.Join(used, " ")))
	out.Name = andList(names)
	out.About = strings.Join(append(abouts, starterNote), " ")
	return out, nil
}

func starterIDs() []string {
	var ids []string
	for _, m := range loadStarters() {
		ids = append(ids, m.ID)
	}
	return ids
}
