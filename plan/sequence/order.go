package sequence

import "slices"

func (s *set) meets(t *set) bool {
	for i, w := range t {
		if w&s[i] != 0 {
			return true
		}
	}
	return false
}

// topological orders n steps so that the first of each pair precedes the
// second, lower numbers first where both may come.
func topological(n int, pairs [][2]int) ([]int, error) {
	waiting := make([]int, n)
	after := make([][]int, n)
	for _, b := range pairs {
		waiting[b[1]]++
		after[b[0]] = append(after[b[0]], b[1])
	}
	var ready, order []int
	for i := range n {
		if waiting[i] == 0 {
			ready = append(ready, i)
		}
	}
	for len(ready) > 0 {
		i := slices.Min(ready)
		ready = slices.DeleteFunc(ready, func(j int) bool { return j == i })
		order = append(order, i)
		for _, j := range after[i] {
			if waiting[j]--; waiting[j] == 0 {
				ready = append(ready, j)
			}
		}
	}
	if len(order) < n {
		return nil, &CircleError{circle(n, pairs, waiting)}
	}
	return order, nil
}

// circle walks back from a step that still waits until one comes again.
func circle(n int, pairs [][2]int, waiting []int) []int {
	at := make([]int, n)
	var path []int
	i := slices.IndexFunc(waiting, func(w int) bool { return w > 0 })
	for at[i] == 0 {
		path = append(path, i)
		at[i] = len(path)
		k := slices.IndexFunc(pairs, func(b [2]int) bool { return b[1] == i && waiting[b[0]] > 0 })
		i = pairs[k][0]
	}
	found := slices.Clone(path[at[i]-1:])
	slices.Reverse(found)
	return found
}
