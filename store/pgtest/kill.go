package pgtest

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Kill ends every process of the server by force, at whatever it is doing, so
// that nothing is written any more. The next [Server.Up] recovers. It finds the
// processes but the first one in /proc; where there is none, those end by themselves.
func (s *Server) Kill() error {
	pid, err := s.Pid()
	if err != nil {
		return err
	}
	// First the one that starts the others.
	for ids := []int{pid}; len(ids) > 0; ids = s.processes() {
		for _, id := range ids {
			p, err := os.FindProcess(id)
			if err == nil {
				err = p.Kill()
			}
			if err != nil && id == pid {
				return err
			} // another may have ended by itself
		}
		time.Sleep(2 * time.Millisecond)
	}
	// A process that nobody has asked after yet still has its number, and the
	// next server would take it for a running one.
	return os.Remove(filepath.Join(s.data(), "postmaster.pid"))
}

// processes are those of the server that still run: each works in its data
// folder.
func (s *Server) processes() []int {
	links, _ := filepath.Glob("/proc/[0-9]*/cwd")
	var out []int
	for _, link := range links {
		id, _ := strconv.Atoi(filepath.Base(filepath.Dir(link)))
		if dir, err := os.Readlink(link); err == nil && dir == s.data() && runs(id) {
			out = append(out, id)
		}
	}
	return out
}

// runs tells a process from one that has ended and that nobody has asked after.
// Its name, in brackets, may hold anything.
func runs(pid int) bool {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return false
	}
	_, state, _ := strings.Cut(string(text[strings.LastIndexByte(string(text), ')'):]), " ")
	return !strings.HasPrefix(state, "Z")
}
