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
	Check    mapCheck    `cmd:"" help:"Say what is wrong with a map file, and how to mend it."`
	Draw     mapDraw     `cmd:"" help:"Draw what is in the way of what, as SVG."`
	New      mapNew      `cmd:"" help:"Start a map from one or more bundled starters."`
	Starters mapStarters `cmd:"" help:"List the bundled starters."`
}

type mapCheck struct {
	Files []string `arg:"" help:"Map files (YAML), - for standard input."`
}

func (c mapCheck) Run(env *Env) error {
	var wrong access.Problems
	for _, name := range c.Files {
		src, err := readFile(env, name)
		if err != nil {
			return err
		}
		m, problems := access.Review(name, src)
		advice := 0
		for _, p := range problems {
			if p.Advice {
				advice++
				fmt.Fprintln(env.Err, "advice:", p)
			} else {
				wrong = append(wrong, p)
			}
		}
		if m != nil && len(wrong) == 0 {
			ways, pieces := 0, 0
			for _, it := range m.Items {
				ways += len(it.Ways)
				for _, w := range it.Ways {
					for _, f := range w.Fasteners.Items {
						pieces += f.Count
					}
				}
			}
			fmt.Fprintf(env.Out, "%s: good: %d items, %d ways, %d fasteners; %d pieces of advice\n", name, len(m.Items), ways, pieces, advice)
		}
	}
	if len(wrong) > 0 {
		return wrong
	}
	return nil
}

type mapDraw struct {
	File   string `arg:"" help:"Map file."`
	Around string `help:"Draw only what is around one item." placeholder:"ITEM"`
	Output string `short:"o" help:"File to write; standard output if not given." placeholder:"FILE"`
}

func (c mapDraw) Run(env *Env) error {
	m, err := loadMap(env, c.File)
	if err != nil {
		return err
	}
	var svg []byte
	if c.Around != "" {
		if m.Item(c.Around) == nil {
			return fault.New(fault.NotFound, "There is no item %q on this map", c.Around)
		}
		svg = access.Around(m, c.Around, access.DrawOptions{})
	} else {
		svg = access.Draw(m, access.DrawOptions{})
	}
	return writeFile(env, c.Output, svg)
}

type mapNew struct {
	Starters []string `arg:"" help:"Starters to begin from (see: lastbolt map starters)."`
	Name     string   `help:"Name of the vehicle the map is for."`
	Output   string   `short:"o" help:"File to write; standard output if not given." placeholder:"FILE"`
}

func (c mapNew) Run(env *Env) error {
	m, err := access.FromStarter(c.Starters...)
	if err != nil {
		return err
	}
	if c.Name != "" {
		m.Name = c.Name
		m.ID = access.Slug(c.Name)
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
	m, err := access.Parse(name, src)
	if err != nil {
		var problems access.Problems
		if errors.As(err, &problems) {
			return nil, problems
		}
		return nil, err
	}
	return m, nil
}

type schemaCommand struct {
	Format string `arg:"" help:"map or export." enum:"map,export"`
}

func (c schemaCommand) Run(env *Env) error {
	if strings.EqualFold(c.Format, "map") {
		return writeFile(env, "", access.Schema())
	}
	return writeFile(env, "", exportSchema())
}
