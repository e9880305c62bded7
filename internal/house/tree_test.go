package house

import (
	"os/exec"
	"testing"
)

const root = "../.."

// An engine that knew of jobs, pages or a database could not be read, tested
// or reused without them.
func TestNoPackageImportsUpward(t *testing.T) {
	report(t, Upward(packages(t)))
}

// A result that depends on a file, the time or chance cannot be checked again,
// and code that opens files or sockets cannot run inside a phone's browser.
func TestEnginesComputeAndHostedRoomsAskTheirHost(t *testing.T) {
	report(t, Impure(packages(t)))
}

// A newcomer opens a folder and wants to know where to start.
func TestEveryPackageSaysWhatItIs(t *testing.T) {
	report(t, Uncommented(packages(t)))
}

// A file should be readable in one sitting.
func TestNoFileIsTooLong(t *testing.T) {
	report(t, TooLong(files(t)))
}

// The tree speaks of the program, not of the machine it was written on.
func TestNoUnwantedWords(t *testing.T) {
	report(t, Unwanted(files(t)))
}

func packages(t *testing.T) []Package {
	t.Helper()
	all, err := ReadPackages(root)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) == 0 {
		t.Fatal("go list found no package, so nothing was checked")
	}
	return all
}

func files(t *testing.T) []File {
	t.Helper()
	if exec.Command("git", "-C", root, "rev-parse").Run() != nil {
		t.Skip("needs a Git checkout to know which files are part of the tree")
	}
	all, err := ReadFiles(root)
	if err != nil {
		t.Fatal(err)
	}
	if len(all) == 0 {
		t.Fatal("Git lists no file, so nothing was checked")
	}
	return all
}

func report(t *testing.T, found []Breach) {
	t.Helper()
	for _, b := range found {
		t.Error(b)
	}
}
