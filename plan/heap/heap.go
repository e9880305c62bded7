// Package heap keeps a slice as a binary heap: its least element is the first.
//
// Start with [Push] and [Pop]. What is least, the caller says with a function,
// the same in every call; of equals, any may come first, but always the same of
// the same pushes and pops. The empty heap is a nil slice.
package heap

// Push adds x to a heap.
func Push[T any](h []T, x T, less func(a, b T) bool) []T {
	h = append(h, x)
	i := len(h) - 1
	for i > 0 {
		up := (i - 1) / 2
		if !less(x, h[up]) {
			break
		}
		h[i] = h[up]
		i = up
	}
	h[i] = x
	return h
}

// Pop takes the least from a heap, which must not be empty, and gives what is
// left.
func Pop[T any](h []T, less func(a, b T) bool) (least T, rest []T) {
	least = h[0]
	last := len(h) - 1
	x := h[last]
	var none T
	h[last] = none // keeps nothing alive
	h = h[:last]
	if last == 0 {
		return least, h
	}
	i := 0
	for {
		c := 2*i + 1
		if c >= last {
			break
		}
		if c+1 < last && less(h[c+1], h[c]) {
			c++
		}
		if !less(h[c], x) {
			break
		}
		h[i] = h[c]
		i = c
	}
	h[i] = x
	return least, h
}
