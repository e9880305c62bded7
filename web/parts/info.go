package parts

// Section is the part of the program a page belongs to, for the navigation.
type Section string

// The sections, as the navigation names them.
const (
	NoSection Section = ""
	Jobs      Section = "Jobs"
	Vehicles  Section = "Vehicles"
	Shelf     Section = "Shelf"
	Maps      Section = "Maps"
	WorkOut   Section = "Work out"
)

var sections = []struct {
	section Section
	href    string
}{{Jobs, "/jobs"}, {Vehicles, "/vehicles"}, {Shelf, "/shelf"}, {Maps, "/maps"}, {WorkOut, "/work-out"}}

// PageInfo is what the frame of a page needs to know.
type PageInfo struct {
	Title   string // of the window; the page writes its own h1
	Section Section
	Theme   string // ui.Theme(r): "", "light", "dark" or "sun"

	// Focus is for a page with one thing to do: the navigation folds into a
	// menu and the place line takes its room.
	Focus     bool
	Place     string // bold, left in the top line: the vehicle
	PlaceNote string // after it: the job in a few words
	PlaceHref string // where a tap on both leads
	Aside     string // right in the top line: "done by 15:20"

	Reading  bool   // one narrow column of text also on a desk
	Live     string // address of an event stream; the page reloads its main part on each event
	IdleURL  string // where to go after IdleMin minutes without a touch; empty for never
	IdleMin  int
	BackHref string // the step before, for a remote control's back key
	Toast    string // "Recorded: …", shown once at the top
	Awake    bool   // keep the screen on while this page is open
	Bare     bool   // no navigation: for who may not go anywhere yet
}

// Source is how a number is known.
type Source int

// The kinds of source, best first. NoSource is for counts and other numbers
// that are no specification.
const (
	NoSource  Source = iota
	Maker            // the maker's document
	Published        // a published table or standard
	Measured         // own measurement
	Computed         // worked out from other numbers, working shown
	Practice         // common practice, no source
	Unknown          // not known
)

var sourceWords = [...]string{"", "maker's sheet", "published", "measured", "computed", "common practice", "not known: look it up"}

// Word names the kind as the pages print it.
func (s Source) Word() string {
	if s < 0 || int(s) >= len(sourceWords) {
		return ""
	}
	return sourceWords[s]
}

// NumberInfo is the figure of a step or an answer. With Source Unknown, Value
// may stay empty; with Practice it is set in small type, as advice.
type NumberInfo struct {
	Value  string // "5.0", "4", "M8 × 25"; already printed in the user's form
	Unit   string // "N·m", "bolts out"
	Conv   string // beneath the unit: "3.7 lbf·ft conv.", "10 mm socket"
	Source Source
	Note   string // after the source's word: "final 10 N·m", title and page
	Long   bool   // a value of more than about six characters: smaller, on its own line
	Spoken string // what reading aloud says instead; empty for value and unit
}

// BandInfo is advice: a range, never one figure.
type BandInfo struct {
	Label     string // "Usual for M6 in aluminium"
	Low, High string
	Unit      string
	Source    Source
	Note      string
}

// Word is the signal word of a caution, in the sense of ANSI Z535.
type Word string

// The signal words. Show at most one Danger or Warning at a time: the highest
// that applies.
const (
	WordDanger  Word = "DANGER"  // will kill or maim if not heeded
	WordWarning Word = "WARNING" // could kill or maim
	WordCaution Word = "CAUTION" // could hurt, or ruin something
	WordNotice  Word = "NOTICE"  // damage or waste, nobody hurt
)

// CautionInfo is one caution panel.
type CautionInfo struct {
	Word   Word
	Title  string // may be empty
	Do     string // what to do, in one line; with it the rest folds away
	Text   string
	Stop   string // when to stop and hand over; printed after "Stop if: "
	Source string // document, or "common practice, no source"
}

// Fact is one line of a list of facts. With Source Unknown leave Value empty:
// the mark says it.
type Fact struct {
	Label, Value string
	Source       Source // NoSource prints no mark
	Note         string // after the mark
	Href         string // makes the value a link
}

// StepInfo heads a step card.
type StepInfo struct {
	Place string // one line: "5 of 7 down · from above, left side"
	Name  string // the thing, large; the page's h1
}

// Link is a place to go, dressed as a button.
type Link struct {
	Label, Href string
	Sub         string // smaller, beneath
}

// Pair is one hidden field of a form.
type Pair struct{ Name, Value string }

// Pairs makes hidden fields of name, value, name, value…; it panics on an odd
// count.
func Pairs(namesAndValues ...string) []Pair {
	if len(namesAndValues)%2 != 0 {
		panic("parts: Pairs needs a value for every name")
	}
	var pairs []Pair
	for i := 0; i < len(namesAndValues); i += 2 {
		pairs = append(pairs, Pair{namesAndValues[i], namesAndValues[i+1]})
	}
	return pairs
}

// ActionInfo is a form of one button.
type ActionInfo struct {
	URL    string // posted to
	Hidden []Pair
	Label  string // "All 4 out": what will be recorded
	Sub    string // "counted, in tray C"
	Main   bool   // the page's main action: large, and the one a remote control presses
	// Hold is for what can kill: the check in the mechanic's words, "stands
	// under both sides, pushed". The button must be held; without scripts the
	// check is a box to tick. The form then sends confirmed=yes.
	Hold string
	Sent string // what the button says once pressed; "Recorded" if empty
}

// Option is one choice of a field.
type Option struct{ Value, Label string }

// Options makes choices of value, label, value, label…; it panics on an odd
// count.
func Options(valuesAndLabels ...string) []Option {
	if len(valuesAndLabels)%2 != 0 {
		panic("parts: Options needs a label for every value")
	}
	var options []Option
	for i := 0; i < len(valuesAndLabels); i += 2 {
		options = append(options, Option{Value: valuesAndLabels[i], Label: valuesAndLabels[i+1]})
	}
	return options
}

// FieldInfo is one labelled input.
type FieldInfo struct {
	Name, Label string
	Value       string
	Type        string // "text" if empty; "number" for figures, "area", "select", "check", "date", "password", …
	Unit        string // behind the input
	Hint        string // beneath the label
	Error       string // one sentence: what is wrong and how to mend it
	Required    bool
	Mode        string // inputmode; type "number" gives "decimal" unless set to "numeric"
	Complete    string // autocomplete
	Placeholder string
	Options     []Option // of a select; of other types: suggestions
	Checked     bool     // of a check
	Rows        int      // of an area
	Focus       bool     // takes the keyboard when the page opens
	Limit       int      // of a sound: seconds that may be recorded
}

// PhotoInfo is a file input that takes photos, reduced in the page.
type PhotoInfo struct {
	Name, Label string
	Many        bool
	Choose      bool // of what is there already, not from the camera
	Error       string
}

// ErrorInfo is what went wrong on a page as a whole.
type ErrorInfo struct {
	What  string // one sentence
	Where string // file:line:column or the field, as is
	Mend  string // what to do
	Href  string // link to the place, may be empty
}

// EmptyInfo is a list with nothing in it: say what would stand here and offer
// the first act.
type EmptyInfo struct {
	Title, Text string
	Act         Link // may be zero
}

// Tab is one stage of a job.
type Tab struct {
	Label, Href string
	Count       string // "3 open"; may be empty
	Current     bool
	Done        bool
}

// TableInfo is a table that becomes stacked facts on a phone. The first cell
// of a row is its name.
type TableInfo struct {
	Caption string
	Head    []Column
	Rows    [][]Cell
}

// Column heads a table; Num aligns figures to the right.
type Column struct {
	Label string
	Num   bool
}

// Cell is one field of a table.
type Cell struct {
	Text, Href string
	Source     Source
}
