package sequence

// assignment is a dual solution of the assignment problem in which every row
// but the last is assigned a column other than the first: out[i] + in[j] is at
// most cost[i][j] everywhere, and the sum of all is as large as possible. It
// is the shortest augmenting path method (Jonker & Volgenant, Computing 38
// (1987) 325-340; from memory).
func assignment(cost [][]int64) (out, in []int64) {
	n := len(cost) - 1 // rows 0..n-1, columns 1..n
	out, in = make([]int64, n+1), make([]int64, n+1)
	rowOf := make([]int, n+1) // of a column; -1: none
	for j := range rowOf {
		rowOf[j] = -1
	}
	for row := range n {
		rowOf[0] = row // column 0 stands for the row to be placed
		dist, from, done := make([]int64, n+1), make([]int, n+1), make([]bool, n+1)
		for j := range dist {
			dist[j] = infinite
		}
		col := 0
		for rowOf[col] >= 0 {
			done[col] = true
			i, step, next := rowOf[col], infinite, 0
			for j := 1; j <= n; j++ {
				if done[j] {
					continue
				}
				if c := cost[i][j]; c < infinite && c-out[i]-in[j] < dist[j] {
					dist[j], from[j] = c-out[i]-in[j], col
				}
				if dist[j] < step {
					step, next = dist[j], j
				}
			}
			if step >= infinite { // no assignment: what there is remains a valid dual
				return out, in
			}
			for j := range done {
				if done[j] {
					out[rowOf[j]] += step
					in[j] -= step
				} else if dist[j] < infinite {
					dist[j] -= step
				}
			}
			col = next
		}
		for col != 0 {
			rowOf[col] = rowOf[from[col]]
			col = from[col]
		}
	}
	in[0] = 0
	return out, in
}
