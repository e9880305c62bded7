package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"text/tabwriter"
	"time"

	"lastbolt/demo"
	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/paper"
	"lastbolt/photo"
	"lastbolt/quantity"
	"lastbolt/store/sqlite"
)

type jobsCommand struct {
	List jobsList `cmd:"" default:"withargs" help:"List jobs, latest touched first."`
	Show jobsShow `cmd:"" help:"Show one job: where it stands, what is off, what is open."`
}

type jobsList struct {
	All  bool   `help:"Released jobs too."`
	Find string `help:"Only jobs that speak of these words." placeholder:"WORDS"`
	JSON bool   `name:"json" help:"Print as JSON."`
}

func (c jobsList) Run(ctx context.Context, env *Env) error {
	st, err := sqlite.Open(env.DataDir, sqlite.Options{})
	if err != nil {
		return err
	}
	defer closing(env, st)
	list, err := st.Summaries(ctx, job.Query{Closed: c.All || c.Find != "", Text: c.Find, Limit: 1000})
	if err != nil {
		return err
	}
	if c.JSON {
		return printJSON(env, list)
	}
	if len(list) == 0 {
		fmt.Fprintln(env.Err, "No jobs. Start one in the browser: lastbolt serve")
		return nil
	}
	w := tabwriter.NewWriter(env.Out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(w, "JOB\tSTAGE\tVEHICLE\tTITLE\tNEXT\tOFF\tTOUCHED")
	for _, s := range list {
		title := s.Title
		if title == "" {
			title = s.Complaint
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%d\t%s\n", s.ID, s.Stage, s.Vehicle, title, s.Next, s.Owed, s.Touched.Local().Format("2006-01-02 15:04"))
	}
	return w.Flush()
}

type jobsShow struct {
	Job  string `arg:"" help:"The job's id, or the beginning of it."`
	JSON bool   `name:"json" help:"Print the events as JSON."`
}

func (c jobsShow) Run(ctx context.Context, env *Env) error {
	st, err := sqlite.Open(env.DataDir, sqlite.Options{})
	if err != nil {
		return err
	}
	defer closing(env, st)
	s, err := findJob(ctx, st, c.Job)
	if err != nil {
		return err
	}
	if c.JSON {
		events, err := st.Events(ctx, s.ID)
		if err != nil {
			return err
		}
		return printJSON(env, events)
	}
	fmt.Fprintf(env.Out, "%s\n%s · %s · %s\n", s.Title, s.Vehicle, s.Complaint, s.Stage)
	if s.Next != nil {
		fmt.Fprintf(env.Out, "Next: %s\n", s.Next.Name)
	}
	w := tabwriter.NewWriter(env.Out, 0, 4, 2, ' ', 0)
	for i, step := range s.Steps {
		counts := make([]string, 0, len(step.Groups))
		for _, g := range step.Groups {
			counts = append(counts, fmt.Sprintf("%d %s", g.Want, g.Name))
		}
		fmt.Fprintf(w, "%3d\t%s\t%s\t%s\t%s\n", i+1, step.Status, step.Name, strings.Join(counts, ", "), step.Tray)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, o := range s.OpenItems(env.Now()) {
		fmt.Fprintln(env.Out, "Open:", o.Text)
	}
	return nil
}

// findJob takes an id or the beginning of one that only one job has.
func findJob(ctx context.Context, st *sqlite.Store, id string) (*job.State, error) {
	all, err := st.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	var found []string
	for _, have := range all {
		if strings.HasPrefix(have, id) {
			found = append(found, have)
		}
	}
	switch len(found) {
	case 0:
		return nil, fault.New(fault.NotFound, "There is no job %q: lastbolt jobs lists them", id)
	case 1:
		return job.NewBook(st, nil).Load(ctx, found[0])
	}
	return nil, fault.New(fault.Bad, "%d jobs begin with %q: write more of the id", len(found), id)
}

func printJSON(env *Env, v any) error {
	out := json.NewEncoder(env.Out)
	out.SetIndent("", "  ")
	return out.Encode(v)
}

type paperCommand struct {
	Kind   string `arg:"" help:"sheet, ready, labels, tag or record." enum:"sheet,ready,labels,tag,record"`
	Job    string `arg:"" help:"The job's id, or the beginning of it."`
	Output string `short:"o" help:"PDF file to write." required:"" placeholder:"FILE"`
	Letter bool   `help:"US Letter instead of A4."`
	Base   string `help:"Address of the pages, for the codes on labels." placeholder:"URL"`
}

func (c paperCommand) Run(ctx context.Context, env *Env) error {
	st, err := sqlite.Open(env.DataDir, sqlite.Options{})
	if err != nil {
		return err
	}
	defer closing(env, st)
	s, err := findJob(ctx, st, c.Job)
	if err != nil {
		return err
	}
	opt := paper.Options{}
	if c.Letter {
		opt.Paper = paper.Letter
	}
	pdf, err := printed(ctx, st, env, c.Kind, s, c.Base, opt)
	if err != nil {
		return err
	}
	return writeFile(env, c.Output, pdf)
}

// printed makes one kind of paper of a job. Base is the address of the pages,
// for the codes; empty leaves the codes out.
func printed(ctx context.Context, st *sqlite.Store, env *Env, kind string, s *job.State, base string, opt paper.Options) ([]byte, error) {
	opt.Now, opt.Zone, opt.Units = env.Now(), time.Local, quantity.Imperial()
	if base != "" {
		opt.JobURL = base + "/jobs/" + s.ID
		opt.ItemURL = func(item string) string { return base + "/jobs/" + s.ID + "/item?item=" + item }
	}
	opt.Photo = func(hash string) ([]byte, error) {
		content, _, err := st.Open(ctx, hash)
		if err != nil {
			return nil, err
		}
		return photo.Screen(content)
	}
	switch kind {
	case "sheet":
		return paper.Sheet(s, opt)
	case "labels":
		return paper.Labels(s, opt)
	case "tag":
		return paper.Tag(s, opt)
	case "record":
		return paper.Record(s, opt)
	}
	shelf, _, err := garage.LoadShelf(ctx, st)
	if err != nil {
		return nil, err
	}
	return paper.ReadyList(s, job.Ready(s, shelf), opt)
}

// mapSource reads a map file; the word demo is the bundled one.
func mapSource(env *Env, name string) ([]byte, error) {
	if name == "demo" {
		return demo.MapYAML, nil
	}
	return readFile(env, name)
}

