// Package caution is the usual cautions of vehicle work, each with one signal
// word, in our own words, with what it rests on.
//
// Start with [For], which gives the cautions of a step's triggers, the highest
// word first. A caution never replaces the maker's instructions, and the list
// does not claim to be complete. The data is cautions.yaml beside this file.
package caution

import (
	"bytes"
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"github.com/goccy/go-yaml"
)

// Word is a signal word, in the sense of ANSI Z535.
type Word string

// The signal words, highest first.
const (
	Danger  Word = "DANGER"
	Warning Word = "WARNING"
	Caution Word = "CAUTION"
	Notice  Word = "NOTICE"
)

var words = []Word{Danger, Warning, Caution, Notice}

// A Text is one caution.
type Text struct {
	ID    string `yaml:"id"` // also the trigger
	Word  Word   `yaml:"word"`
	Title string `yaml:"title"`
	Do    string `yaml:"do"` // what to do, in one line
	Text  string `yaml:"text"`
	// Check is what is held to be true by holding the button down; DANGER only.
	Check string `yaml:"check"`
	Stop  string `yaml:"stop"`
	// Source names the document, and Known how it is known: "published",
	// "quoted" (by another document), "common practice" or "from memory".
	Source string   `yaml:"source"`
	Known  string   `yaml:"known"`
	Joints []string `yaml:"joints"`
}

// HoldText is the check that a DANGER wants confirmed by holding; empty for
// every other word.
func (t Text) HoldText() string { return t.Check }

// SourceText is the source as printed, with how it is known where that is less
// than the document itself.
func (t Text) SourceText() string {
	if t.Known == "published" || strings.Contains(t.Source, t.Known) {
		return t.Source
	}
	if t.Known == "quoted" {
		return t.Source + " (seen as quoted)"
	}
	return t.Source + " (" + t.Known + ")"
}

//go:embed cautions.yaml
var data []byte

var all = sync.OnceValue(func() []Text {
	texts, err := read(data)
	if err != nil {
		panic("caution: the built-in list cannot be read: " + err.Error())
	}
	return texts
})

// read reads a list and checks that every caution is complete.
func read(b []byte) ([]Text, error) {
	var texts []Text
	if err := yaml.NewDecoder(bytes.NewReader(b), yaml.Strict()).Decode(&texts); err != nil {
		return nil, err
	}
	for i, t := range texts {
		switch {
		case t.ID == "" || t.Title == "" || t.Do == "" || t.Text == "" || t.Stop == "" || t.Source == "":
			return nil, fmt.Errorf("caution %d (%s) lacks its id, title, what to do, text, stop or source", i+1, t.ID)
		case !slices.Contains(words, t.Word):
			return nil, fmt.Errorf("caution %s: %q is no signal word", t.ID, t.Word)
		case (t.Word == Danger) != (t.Check != ""):
			return nil, fmt.Errorf("caution %s: a check goes with DANGER, and only with it", t.ID)
		case slices.ContainsFunc(texts[:i], func(o Text) bool { return o.ID == t.ID }):
			return nil, fmt.Errorf("caution %s is there twice", t.ID)
		}
	}
	slices.SortStableFunc(texts, func(x, y Text) int { return slices.Index(words, x.Word) - slices.Index(words, y.Word) })
	return texts, nil
}

// All lists every caution, highest word first.
func All() []Text { return slices.Clone(all()) }

// For gives the cautions of the triggers, each once, highest word first. A
// trigger that no caution has is passed over.
func For(triggers ...string) []Text {
	var out []Text
	for _, t := range all() {
		if slices.Contains(triggers, t.ID) {
			out = append(out, t)
		}
	}
	return out
}

// OfJoint gives the triggers of opening a kind of joint.
func OfJoint(kind string) []string {
	var out []string
	for _, t := range all() {
		if slices.Contains(t.Joints, kind) {
			out = append(out, t.ID)
		}
	}
	return out
}

// Known reports whether a trigger has a caution.
func Known(trigger string) bool {
	return slices.ContainsFunc(all(), func(t Text) bool { return t.ID == trigger })
}
