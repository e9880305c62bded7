package web

import (
	"lastbolt/web/draw"
	"lastbolt/web/parts"
)

// A stepView is what the page of one step shows.
type stepView struct {
	Valley   draw.Valley
	Error    string
	Place    string
	Name     string
	Numbers  []parts.NumberInfo
	Facts    []parts.Fact
	Highest  *parts.CautionInfo // a DANGER or WARNING, above everything
	Cautions []parts.CautionInfo
	Waits    []timerView
	Notes    []string
	Photos   []photoView
	Clips    []clipView
	Beside   []parts.Link
	Worked   []cardView        // answers kept on the step
	Belt     *beltOnStep       // how its belt runs, or that it should be noted
	Renew    []parts.FieldInfo // single-use pieces asked for before the main action
	Main     parts.ActionInfo
	Instead  parts.Link // takes the place of the main action where that has not its turn: the bolt map, or the next step
	Undo     parts.ActionInfo
	Done     bool
	DoneText string
	Onward   parts.Link
}

type timerView struct {
	Until, Label string
	Over         parts.ActionInfo // ends the wait by hand
}

// A photoView is a photo in a list. Full is empty where the screen shows all.
type photoView struct{ Small, Screen, Full, Alt, Note string }

// A clipView is a sound clip in a list.
type clipView struct{ Src, Media, Name, Beneath string }

// A formView is a page with one form.
type formView struct {
	Title, Lead string
	Error, Mend string
	LinesTitle  string
	Lines       []lineView
	URL         string
	File        bool
	Hidden      []parts.Pair
	Fields      []parts.FieldInfo
	Action, Sub string
	Sent        string
	Back        parts.Link
	Other       parts.Link // another way to begin
}

type rowView struct{ Href, Name, Beneath, Tag, State string }

type jobsView struct {
	Title, Query          string
	Due, Rows             []rowView
	EmptyTitle, EmptyText string
	AllDue                parts.Link // when more is due than stands here
	Older, Other, Storage parts.Link
}

// A jobView is the first page of a job, and each page of a stage.
type jobView struct {
	Title, Beneath     string
	Invented           bool
	Tabs               []parts.Tab
	HasSteps           bool
	Valley             draw.Valley
	Banner, BannerMend string
	Cards              []cardView
	Main               parts.Link
	Act                *parts.ActionInfo
	Undo               parts.ActionInfo
}

type cardView struct {
	Title, Text string
	Warn        bool // the text is a warning
	Facts       []parts.Fact
	Lines       []lineView
	Photos      []photoView
	Clips       []clipView
	Drawing     string
	Acts        []parts.ActionInfo
	Links       []parts.Link
	Share       string
}

type lineView struct {
	ID                              string // of the line on the page, to come back to; empty for none
	Href, Name, Beneath, Tag, State string
	Acts                            []parts.ActionInfo
}

type targetsView struct {
	URL, Query            string
	Error, Mend           string
	ItemsTitle, MoreTitle string
	Items, More           []parts.FieldInfo // what is chosen or has its own work on the map; the rest
	Limits                []parts.FieldInfo
}
