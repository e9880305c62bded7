//go:build js && wasm

package main

import (
	"context"
	"sync"

	"lastbolt/store/indexed"
)

// notes are the notes that every page asks for, kept in memory once they are
// read: only this program writes them, and it runs once.
type notes struct {
	mu    sync.Mutex
	known map[string]string
}

func (n *notes) read(ctx context.Context, st *indexed.Store, name string) (string, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	if text, ok := n.known[name]; ok {
		return text, nil
	}
	text, err := st.Note(ctx, name)
	if err == nil {
		n.keep(name, text)
	}
	return text, err
}

// write forgets what it cannot write: the next page reads what is there.
func (n *notes) write(ctx context.Context, st *indexed.Store, name, text string) error {
	n.mu.Lock()
	defer n.mu.Unlock()
	if err := st.SetNote(ctx, name, text); err != nil {
		delete(n.known, name)
		return err
	}
	n.keep(name, text)
	return nil
}

func (n *notes) keep(name, text string) {
	if n.known == nil {
		n.known = map[string]string{}
	}
	n.known[name] = text
}
