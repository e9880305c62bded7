//go:build js && wasm

package main

import (
	"context"
	"crypto/rand"

	"lastbolt/store/indexed"
)

const noteDevice = "device"

// letters are those that are not taken for one another on a small screen.
const letters = "abcdefghkmnpqrstuvwxyz23456789"

// deviceName is how this phone is told from others, "phone k7mq". It is made up
// at the first start and kept with what is recorded; a browser that forgot
// everything is another phone.
func deviceName(st *indexed.Store) (string, error) {
	ctx := context.Background()
	if name, err := st.Note(ctx, noteDevice); err != nil || name != "" {
		return name, err
	}
	random := make([]byte, 4)
	_, _ = rand.Read(random) // does not fail
	for i, b := range random {
		random[i] = letters[int(b)%len(letters)]
	}
	if err := st.SetNote(ctx, noteDevice, "phone "+string(random)); err != nil {
		return "", err
	}
	return st.Note(ctx, noteDevice) // of two programs that start at once the later one's
}
