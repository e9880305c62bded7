package lan

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// A Keeper keeps the list of phones and people, which several processes may
// have open. It is asked at every request, so it answers at once.
type Keeper interface {
	// Load gives the list as it is, and which version of it that is; nil where
	// none is kept yet.
	Load() (content []byte, version string, err error)
	// Change keeps what f makes of the list as it is, nil where there is none,
	// while nobody else changes it. An error of f is passed on, and changes
	// nothing.
	Change(f func(content []byte) ([]byte, error)) (version string, err error)
}

// InFolder keeps the list as door.json in a folder, readable by its owner
// alone.
func InFolder(dir string) Keeper { return folderKeeper(dir) }

type folderKeeper string

func (k folderKeeper) file() string { return filepath.Join(string(k), "door.json") }

// Load implements Keeper. The version is the content's hash.
func (k folderKeeper) Load() ([]byte, string, error) {
	content, err := readSecret(k.file())
	if errors.Is(err, fs.ErrNotExist) {
		return nil, "", nil
	}
	if err != nil {
		return nil, "", err
	}
	return content, hashOf(content), nil
}

// Change implements Keeper.
func (k folderKeeper) Change(f func([]byte) ([]byte, error)) (version string, err error) {
	if err := os.MkdirAll(string(k), 0o700); err != nil {
		return "", unwritable(string(k), err)
	}
	free, err := takeLock(k.file() + ".lock")
	if err != nil {
		return "", unwritable(k.file(), err)
	}
	defer free()
	content, _, err := k.Load()
	if err != nil {
		return "", err
	}
	if content, err = f(content); err != nil {
		return "", err
	}
	return hashOf(content), writeSecret(k.file(), content)
}

func hashOf(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}
