package cli

import (
	"errors"
	"fmt"
	"strings"
	"text/tabwriter"

	"lastbolt/fault"
	"lastbolt/plan/access"
)

type mapCommand struct {
	Check    *mapCheck    `arg:"subcommand:check" help:"Say what is wrong with a map file, and how to mend it."`
	Items    *mapItems    `arg:"subcommand:items" help:"List the items of a map, and the ways each is got out of the way."`
	Draw     *mapDraw     `arg:"subcommand:draw" help:"Draw what is in the way of what, as SVG."`
	New      *mapNew      `arg:"subcommand:new" help:"Start a map from one or more bundled starters."`
	Starters *mapStarters `arg:"subcommand:starters" help:"List the bundled starters."`
}

type mapCheck struct {
	Files []string `arg:"positional,required" help:"Map files (YAML), - for standard input."`
}

func (c mapCheck) Run(env *Env) error {
	var wrong access.Problems
	var unread []error
	for _, name := range c.Files {
		src, err := mapSource(env, name)
		if err != nil {
			unread = append(unread, err)
			continue
		}
		done := progress(env.Err, "checking")
		m, problems := access.Review(name, src)
		done()
		advice := problems.Advice()
		for _, p := range advice {
			fmt.Fprintln(env.Err, "advice:", p)
		}
		wrong = append(wrong, problems.Errors()...)
		if m != nil && len(problems) == len(advice) {
			fmt.Fprintf(env.Out, "%s: good: %s; %s\n", name, size(m), counted(len(advice), "piece of advice", "pieces of advice"))
		}
	}
	if len(wrong) == 0 {
		return errors.Join(unread...)
	}
	for _, err := range unread {
		fmt.Fprintln(env.Err, "lastbolt:", err)
	}
	return wrong
}

// size is how much a map holds, in words.
func size(m *access.Map) string {
	ways, pieces := 0, 0
	for _, it := range m.Items {
		ways += len(it.Ways)
		for _, w := range it.Ways {
			for _, f := range w.Fasteners.Items {
				pieces += f.Count
			}
		}
	}
	return counted(len(m.Items), "item", "items") + ", " + counted(ways, "way", "ways") + ", " + counted(pieces, "fastener", "fasteners")
}

func counted(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

type mapItems struct {
	File string `arg:"positional,required" help:"Map file; demo for the bundled demo vehicle."`
}

func (c mapItems) Run(env *Env) error {
	m, err := loadMap(env, c.File)
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(env.Out, 0, 4, 2, ' ', 0)
	for _, it := range m.Items {
		ways := make([]string, len(it.Ways))
		for i := range it.Ways {
			ways[i] = shown(it.Ways[i].Title())
		}
		fmt.Fprintf(w, "%s\t%s\t%s\n", it.ID, shown(it.Name), strings.Join(ways, ", "))
	}
	return w.Flush()
}

type mapDraw struct {
	File   string `arg:"positional,required" help:"Map file."`
	Around string `arg:"--around" help:"Draw only what is around one item." placeholder:"ITEM"`
	Output string `arg:"-o,--output" help:"File to write; standard output if not given." placeholder:"FILE"`
}

func (c mapDraw) Run(env *Env) error {
	m, err := loadMap(env, c.File)
	if err != nil {
		return err
	}
	var svg []byte
	if c.Around != "" {
		if m.Item(c.Around) == nil {
			return fault.New(fault.NotFound, "There is no item %q on this map: lastbolt map items %s lists them", c.Around, c.File)
		}
		svg = access.Around(m, c.Around, access.DrawOptions{})
	} else {
		svg = access.Draw(m, access.DrawOptions{})
	}
	return writeFile(env, c.Output, svg)
}

type mapNew struct {
	Starters []string `arg:"positional,required" help:"Starters to begin from (see: lastbolt map starters)."`
	Name     string   `arg:"--name" help:"Name of the vehicle the map is for."`
	Output   string   `arg:"-o,--output" help:"File to write; standard output if not given." placeholder:"FILE"`
}

func (c mapNew) Run(env *Env) error {
	m, err := access.FromStarter(c.Starters...)
	if err != nil {
		return err
	}
	if c.Name != "" {
		m.Name = c.Name
		m.ID = m.NewID(c.Name)
	}
	return writeFile(env, c.Output, m.Encode())
}

type mapStarters struct{}

func (mapStarters) Run(env *Env) error {
	w := tabwriter.NewWriter(env.Out, 0, 4, 2, ' ', 0)
	for _, s := range access.Starters() {
		fmt.Fprintf(w, "%s\t%s\n", s.ID, s.Name)
	}
	return w.Flush()
}

// loadMap reads a map file; "demo" is the bundled demo vehicle.
func loadMap(env *Env, name string) (*access.Map, error) {
	src, err := mapSource(env, name)
	if err != nil {
		return nil, err
	}
	defer progress(env.Err, "reading the map")()
	return access.Parse(name, src)
}

type schemaCommand struct {
	Format string `arg:"positional,required" help:"map or export."`
}

func (c schemaCommand) Run(env *Env) error {
	if err := oneOf("the format", c.Format, "map", "export"); err != nil {
		return err
	}
	if strings.EqualFold(c.Format, "map") {
		return writeFile(env, "", access.Schema())
	}
	return writeFile(env, "", exportSchema())
}
