package opening

import "sync"

// together does things that share nothing they change, at the same time where
// there are cores for it, and returns when all are done. What comes out does
// not depend on which is done first. A panic in one of them goes on in the
// caller.
func together(all ...func()) {
	var wait sync.WaitGroup
	failed := make([]any, len(all))
	for n, f := range all {
		wait.Go(func() {
			defer func() { failed[n] = recover() }()
			f()
		})
	}
	wait.Wait()
	for _, p := range failed {
		if p != nil {
			panic(p)
		}
	}
}
