package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
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
)

type jobsCommand struct {
	List *jobsList `arg:"subcommand:list" help:"List jobs, latest touched first."`
	Show *jobsShow `arg:"subcommand:show" help:"Show one job: where it stands, what is off, what is open."`
}

type jobsList struct {
	All  bool   `arg:"--all" help:"Released jobs too."`
	Find string `arg:"--find" help:"Only jobs that speak of these words." placeholder:"WORDS"`
	From uint   `arg:"--from" help:"Pass over this many of the latest." placeholder:"N"`
	JSON bool   `arg:"--json" help:"Print as JSON."`
}

func (c jobsList) Run(ctx context.Context, env *Env) error {
	st, err := existing(ctx, env)
	if err != nil {
		return err
	}
	defer closing(env, st)
	list, err := st.Summaries(ctx, job.Query{Closed: c.All || c.Find != "", Text: c.Find, Offset: int(c.From), Limit: mostListed + 1})
	if err != nil {
		return err
	}
	if len(list) > mostListed {
		list = list[:mostListed]
		fmt.Fprintf(env.Err, "There are more than these %d jobs: --from %d lists those touched before them, --find WORDS looks among all.\n", mostListed, c.From+mostListed)
	}
	if c.JSON && list == nil {
		list = []job.Summary{} // printed as [], not as null
	}
	if c.JSON {
		return printJSON(env, list)
	}
	if len(list) == 0 {
		fmt.Fprintln(env.Err, c.nothing())
		return nil
	}
	w := tabwriter.NewWriter(env.Out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(w, "JOB\tSTAGE\tVEHICLE\tTITLE\tNEXT\tOFF\tTOUCHED")
	for _, s := range list {
		title := s.Title
		if title == "" {
			title = s.Complaint
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%d\t%s\n", s.ID, s.Stage, shown(s.Vehicle), shown(title), shown(s.Next), s.Owed, s.Touched.Local().Format("2006-01-02 15:04"))
	}
	return w.Flush()
}

// mostListed is how many jobs one list shows.
const mostListed = 1000

// nothing says why a list is empty, and how to go on.
func (c jobsList) nothing() string {
	switch {
	case c.From > 0:
		return fmt.Sprintf("There are no more than %d jobs.", c.From)
	case c.Find != "":
		return fmt.Sprintf("No job speaks of %q.", c.Find)
	case c.All:
		return "No jobs yet. Start one in the browser: lastbolt serve"
	}
	return "No jobs in hand. Start one in the browser: lastbolt serve. Released ones list: lastbolt jobs --all"
}

type jobsShow struct {
	Job  string `arg:"positional,required" help:"The job's id, or the beginning of it."`
	JSON bool   `arg:"--json" help:"Print the events as JSON."`
}

func (c jobsShow) Run(ctx context.Context, env *Env) error {
	st, err := existing(ctx, env)
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
	fmt.Fprintf(env.Out, "%s\n%s · %s · %s\n", shown(s.Title), shown(s.Vehicle), shown(s.Complaint), s.Stage)
	if s.Next != nil {
		fmt.Fprintf(env.Out, "Next: %s\n", shown(s.Next.Name))
	}
	w := tabwriter.NewWriter(env.Out, 0, 4, 2, ' ', 0)
	for i, step := range s.Steps {
		counts := make([]string, 0, len(step.Groups))
		for _, g := range step.Groups {
			counts = append(counts, fmt.Sprintf("%d %s", g.Want, g.Name))
		}
		fmt.Fprintf(w, "%3d\t%s\t%s\t%s\t%s\n", i+1, step.Status, shown(step.Name), shown(strings.Join(counts, ", ")), shown(step.Tray))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, o := range s.OpenItems(env.Now()) {
		fmt.Fprintln(env.Out, "Open:", shown(o.Text))
	}
	return nil
}

// findJob takes an id or the beginning of one that only one job has.
func findJob(ctx context.Context, st data, id string) (*job.State, error) {
	found, err := jobIDs(ctx, st, []string{id})
	if err != nil {
		return nil, err
	}
	return job.NewBook(st, nil).Load(ctx, found[0])
}

// jobIDs completes ids of which only the beginning is given.
func jobIDs(ctx context.Context, st data, begun []string) ([]string, error) {
	if len(begun) == 0 {
		return nil, nil
	}
	all, err := st.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	whole := make([]string, len(begun))
	for i, id := range begun {
		found := slices.DeleteFunc(slices.Clone(all), func(have string) bool { return !strings.HasPrefix(have, id) })
		switch {
		case len(found) == 0 || id == "":
			return nil, fault.New(fault.NotFound, "There is no job %q: lastbolt jobs lists them", id)
		case len(found) > 1 && !slices.Contains(found, id):
			return nil, fault.New(fault.Bad, "%d jobs begin with %q: write more of the id", len(found), id)
		case len(found) > 1:
			whole[i] = id
		default:
			whole[i] = found[0]
		}
	}
	return whole, nil
}

func printJSON(env *Env, v any) error {
	out := json.NewEncoder(env.Out)
	out.SetIndent("", "  ")
	return out.Encode(v)
}

type paperCommand struct {
	Kind   string `arg:"positional,required" help:"sheet, ready, labels, boltcard, belt, tag or record."`
	Job    string `arg:"positional,required" help:"The job's id, or the beginning of it."`
	Output string `arg:"-o,--output,required" help:"PDF file to write." placeholder:"FILE"`
	Letter bool   `arg:"--letter" help:"US Letter instead of A4."`
	Units  string `arg:"--units" help:"What values are converted to, in brackets behind the source's own: metric, imperial or none." default:"metric"`
	Item   string `arg:"--item" help:"Of a bolt card: only the bolts of this item, by its id." placeholder:"ITEM"`
	Base   string `arg:"--base" help:"Address of the pages, for the codes on labels." placeholder:"URL"`
}

func (c paperCommand) Run(ctx context.Context, env *Env) error {
	if err := oneOf("the kind of paper", c.Kind, "sheet", "ready", "labels", "boltcard", "belt", "tag", "record"); err != nil {
		return err
	}
	if err := oneOf("--units", c.Units, "metric", "imperial", "none"); err != nil {
		return err
	}
	st, err := existing(ctx, env)
	if err != nil {
		return err
	}
	defer closing(env, st)
	s, err := findJob(ctx, st, c.Job)
	if err != nil {
		return err
	}
	opt := paper.Options{Units: unitsNamed[c.Units]}
	if c.Letter {
		opt.Paper = paper.Letter
	}
	done := progress(env.Err, "printing")
	pdf, err := printed(ctx, st, env, c.Kind, c.Item, s, strings.TrimRight(c.Base, "/"), opt)
	done()
	if err != nil {
		return err
	}
	return writeFile(env, c.Output, pdf)
}

// unitsNamed are the units to convert to; none leaves every value as its source
// has it.
var unitsNamed = map[string]quantity.Units{"metric": quantity.Metric(), "imperial": quantity.Imperial(), "none": {}}

// printed makes one kind of paper of a job; item picks one bolt card. Base is the address of the pages,
// for the codes; empty leaves the codes out.
func printed(ctx context.Context, st data, env *Env, kind, item string, s *job.State, base string, opt paper.Options) ([]byte, error) {
	opt.Now, opt.Zone = env.Now(), time.Local
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
	shelf, _, err := garage.LoadShelf(ctx, st)
	if err != nil {
		return nil, err
	}
	return paper.Print(kind, item, s, shelf, opt)
}

// mapSource reads a map file; the word demo is the bundled one.
func mapSource(env *Env, name string) ([]byte, error) {
	if name == "demo" {
		return demo.MapYAML, nil
	}
	return readFile(env, name)
}
