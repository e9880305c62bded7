package job

import (
	"slices"
	"time"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// Stage is where a job stands. Stages follow from what is recorded; nobody
// sets them.
type Stage string

// The stages, in order.
const (
	StagePlan     Stage = "plan"       // no target yet, or a target and no plan
	StageReady    Stage = "ready"      // planned, nothing opened
	StageApart    Stage = "take apart" // something is open, the work not done
	StageWork     Stage = "work"       // everything planned is open: the work itself
	StageBack     Stage = "put back"   // the work is done, rings are open
	StageProve    Stage = "prove"      // nothing is open, tests are
	StageRelease  Stage = "release"    // proved, not handed over
	StageReleased Stage = "released"
)

// Stages lists the stages in order.
var Stages = []Stage{StagePlan, StageReady, StageApart, StageWork, StageBack, StageProve, StageRelease, StageReleased}

// Status is how a step stands.
type Status string

// What a step can be.
const (
	ToCome  Status = "to come"
	Now     Status = "now"
	Done    Status = "done"
	Aside   Status = "aside"   // done, by setting aside with the lines connected
	Owed    Status = "owed"    // putting back what is off
	Dispute Status = "dispute" // two records of it differ
)

// A State is everything that the events of a job add up to. It is read only:
// what changes it is a further event. Times are the recording devices' own.
type State struct {
	ID        string
	Title     string
	Vehicle   string
	VehicleID string
	VIN       string
	Odometer  string // the latest reading, as written
	Complaint string
	MapID     string // the map chosen at the start or planned on
	Started   time.Time
	Stage     Stage
	Targets   []Target
	// NoMap says that the job is recorded as it goes, without a plan.
	NoMap bool

	// Plan is the plan in force, nil without one, and its map at the time.
	Plan       *opening.Plan
	MapName    string
	MapVersion int
	Invented   bool
	Already    []string                // out of the way before the job, as planned
	Items      map[string]*access.Item // every item planned on or taken off
	TurnedBack string                  // why the way back was planned early, if it was

	// Steps are all steps in order: down, bottom, up. Next is the one to do.
	Steps    []*Step
	Next     *Step
	NoReturn int // index in Steps of the first after which it cannot be driven, -1
	Begun    []*Step
	// Open is what is off or aside now, and conditions that hold: the rings
	// owed, latest opened first. Drained are fluids let out and not filled.
	Open        []Ring
	Standing    []Ring // conditions that hold and end by themselves: nothing is owed
	Drained     []string
	Differences []Difference // counts that do not agree, explained or not
	Conflicts   []Conflict
	Troubles    []Trouble
	Notes       []Note
	Photos      []Photo
	Clips       []Clip
	Links       []WayLink // what was in the way of what
	Waits       []Wait
	List        []ListItem     // the shopping list
	Got         map[string]Got // marks on the ready list, by key
	None        map[string]bool
	Tools       *ToolCount
	BoltMaps    []*BoltMap     // by item
	Wrenches    []WrenchChosen // the torque wrenches chosen for the job
	Tests       []Test
	Found       []Found
	FollowUps   []FollowUp
	Worked      []Worked // answers of calculations kept
	BeltRuns    []*BeltRun
	Fluids      []*FluidBook
	Seals       []*JointSeal // of every joint opened or to be opened

	Pause      *Pause // set while paused
	Pauses     []Pause
	Confirm    []*Step // steps to look at again before going on
	Release    *Release
	Amendments []Amendment

	// Progress counts steps; Minutes sum what was planned for the steps done
	// and measured, and what was measured.
	Progress Progress

	Touched  time.Time // the latest event
	History  []Entry   // every event as a line, in order
	Undo     *UndoStep // what undo would take back, nil for nothing
	Redo     *UndoStep // what would be undone of an undo
	Problems []Problem // events that could not be read; they are kept
	Kept     []Event   // events of kinds unknown here, as they came
}

// A Step is one thing to do, planned or not.
type Step struct {
	ID        string
	Phase     opening.Phase
	Item      string
	Name      string
	Action    access.Action
	Way       string
	Planned   *opening.Step // nil for what no plan foresaw
	Unplanned bool
	Condition bool // a state of the vehicle: raised, cold, battery off
	// Opens says that the step takes off, sets aside or brings about; Closes
	// that it puts back or ends. Work and fillings do neither.
	Opens, Closes bool
	AsideWay      bool // the way sets aside
	// Fluid is what a filling puts in, empty for every other step.
	Fluid     string
	Status    Status
	Critical  string // the safety system, empty for none
	Groups    []Group
	NoGroups  bool // an explicit "no fasteners"
	Tray      string
	Photos    []Photo
	Clips     []Clip
	Notes     []Note
	Troubles  []Trouble
	InWayOf   []string // names of what it was, or is planned to be, in the way of
	Begun     time.Time
	Finished  time.Time
	By        string
	Minutes   float64 // measured hand minutes, 0 not measured
	Expected  float64 // planned hand minutes
	Hazards   []string
	Held      []string // cautions confirmed
	Renewed   map[string]bool
	Tightened []Tightened
	Partner   string // the step that closes or opens the same ring
	Records   []Record
	Note      string

	way *access.Way // nil when the map does not know it
}

// IsDone reports a step that is finished, also by setting aside.
func (s *Step) IsDone() bool { return !s.Finished.IsZero() }

// Unfinished reports a joint that was begun and not finished.
func (s *Step) Unfinished() bool { return !s.Begun.IsZero() && s.Finished.IsZero() }

// Loosens reports a step that is about the pieces themselves, as wheel nuts
// before the wheel: all are cracked and left in, or on the way up tightened, and
// nothing comes off or opens with them.
func (s *Step) Loosens() bool {
	return len(s.Groups) > 0 && !s.Condition && !s.AsideWay && s.way != nil && len(s.way.Opens) == 0 && len(s.way.Fluids.Items) == 0 && !slices.ContainsFunc(s.Groups, func(g Group) bool { return !g.Loosen })
}

// Details is what the map knows of taking it off or putting it back: tools,
// single-use pieces, torques, notes. Nil for work, fillings, and what no map
// knows; it is not to be changed.
func (s *Step) Details() *access.Way { return s.way }

// A Group is a group of like fasteners of a step, with its counts. On the way
// up, Out is what came out on the way down.
type Group struct {
	ID, Name  string
	Fastener  access.Fastener // as the map or the record has it
	Want      int             // by the map; 0 not known
	Out       int
	OutKnown  bool
	Back      int
	BackKnown bool
	Size      string // found different
	Loosen    bool
	Replace   bool
}

// A Record is one finished-event of a step, the first that holds and others
// that say the same or dispute it.
type Record struct {
	Event string
	At    time.Time
	By    string
	Done  StepDone
	Aside bool
}

// A Ring is something off, set aside or brought about, which is owed back.
type Ring struct {
	Item      string
	Name      string
	Way       string
	Aside     bool
	Condition bool // a state of the vehicle, to be ended
	Loosened  bool // cracked and left in, to be tightened
	Tray      string
	Since     time.Time
	Down      string // the step that opened it
	Up        string // the step that will close it
	Groups    []Group
	Immobile  bool
	Critical  string
	Opens     []access.Joint
}

// A Difference is a count that does not agree: pieces out and back, or a group
// that was not counted.
type Difference struct {
	Item, Name string
	Group      string // id
	GroupName  string
	Out, Back  int // -1 not counted
	Step       string
	Explained  string
	By         string
}

// A Conflict is one thing recorded with two values. Key is what [Resolve]
// takes.
type Conflict struct {
	Key      string
	Step     string
	Thing    string // "Charge pipe, bolts out"
	Values   []ConflictValue
	Resolved string // the event that holds; empty while open
	Why      string
}

// A ConflictValue is one of the values.
type ConflictValue struct {
	Event  string
	Value  string
	By     string
	At     time.Time
	Device string // see [Recorder]; empty also where it was not noted

	means string // the same for values that mean the same; empty is Value
}

// Who says who recorded the value and, where that is known, on which device:
// "Ada, phone k7mq". Empty where neither is known.
func (v ConflictValue) Who() string {
	if v.By == "" || v.Device == "" {
		return v.By + v.Device
	}
	return v.By + ", " + v.Device
}

// A Trouble is what went wrong.
type Trouble struct {
	TroubleMet
	Event string
	At    time.Time
	By    string
}

// A Note is free text.
type Note struct {
	Event, Step, Text, By string
	At                    time.Time
}

// A Photo is a picture of a step or of the job.
type Photo struct {
	PhotoTaken
	Event string
	At    time.Time
	By    string
}

// A Wait runs without hands. It is over at Until unless ended before.
type Wait struct {
	Key     string
	Step    string
	Name    string // the step's name
	Kind    string
	Since   time.Time
	Until   time.Time // by the likely minutes
	Latest  time.Time // by the high minutes
	Source  string
	Ended   time.Time // zero while not ended by hand
	Note    string
	WaitFor []string // items that may not follow before; none: filling and release
	Back    bool     // a wait of the way back
}

// Over reports whether the wait is over at an instant.
func (w *Wait) Over(now time.Time) bool { return !w.Ended.IsZero() || !now.Before(w.Until) }

// A ListItem is a line of the shopping list.
type ListItem struct {
	Key string
	Wanted
	Step string
	Why  string
	How  How // empty while still wanted
	Note string
	At   time.Time
	By   string
}

// Settled reports that the thing is at hand.
func (l *ListItem) Settled() bool {
	return l.How == Have || l.How == Bought || l.How == Borrowed || l.How == Received
}

// A ToolCount is the tools read back at the end.
type ToolCount struct {
	ToolsCounted
	At time.Time
	By string
}

// Lost lists the tools that are missing with nothing said about them.
func (t *ToolCount) Lost() []string {
	var lost []string
	for _, m := range t.Missing {
		if t.Declared[m] == "" {
			lost = append(lost, m)
		}
	}
	return lost
}

// A Found is a fault seen and left.
type Found struct {
	FoundNotDone
	Event string
	At    time.Time
	By    string
}

// A Pause is one time that the job rested.
type Pause struct {
	Paused
	From, To time.Time // To is zero while it lasts
	By       string
}

// A Release is the act of handing over.
type Release struct {
	Released
	Event string
	At    time.Time
	By    string
}

// An Amendment is what was added after the release.
type Amendment struct {
	Amended
	Event string
	At    time.Time
	By    string
}

// Progress is how far the job is.
type Progress struct {
	Done, Total                     int
	DownDone, DownTotal, BackDone   int
	BackTotal                       int
	PlannedMinutes, MeasuredMinutes float64 // of the steps measured
	TotalPlanMinutes                float64 // hand work
	RemainingMinutes                float64 // with changes of place and tool, waiting and likely trouble, as the plan's total
}

// An Entry is one event as a line of the history.
type Entry struct {
	Event  string
	Kind   Kind
	At     time.Time
	By     string
	Text   string
	Step   string
	Undone bool
}

// An UndoStep says what undo would take back.
type UndoStep struct {
	Event string
	Text  string // "All 4 out: Charge pipe"
}

// A Problem is an event that could not be read in full.
type Problem struct {
	Event string
	Text  string
}

// StepByID finds a step, nil if there is none.
func (s *State) StepByID(id string) *Step {
	for _, st := range s.Steps {
		if st.ID == id {
			return st
		}
	}
	return nil
}

// Ring finds what is open of an item, nil if nothing is.
func (s *State) Ring(item string) *Ring {
	for i := range s.Open {
		if s.Open[i].Item == item {
			return &s.Open[i]
		}
	}
	return nil
}

// IsReleased reports that the vehicle was handed over.
func (s *State) IsReleased() bool { return s.Release != nil }
