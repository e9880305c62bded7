package tighten

import "math"

// A field gives the shapes a cover can take: w(p) = Σ u[k]·φ[k](p). A plate's
// are bicubic B-splines on square cells, a rigid body's are 1, x and y.
type field interface {
	// at gives the shapes that are not 0 at a place.
	at(p xy) ([]int, []float64)
	// matrix gives the bending stiffness in N/mm, ready for springs to be added.
	matrix() *skyline
}

type rigid struct{ size float64 }

func (r rigid) at(p xy) ([]int, []float64) {
	return []int{0, 1, 2}, []float64{1, p.x / r.size, p.y / r.size}
}

func (rigid) matrix() *skyline { return full(3) }

// plate is a thin elastic plate (Kirchhoff's) with free edges, in Ritz' manner:
// uniform bicubic B-splines over square cells, cells that the edge cuts counting
// by the part inside (an immersed plate).
type plate struct {
	stiffness float64 // D in N·mm
	h         float64 // side of a cell, mm
	nx, ny    int     // cells
	fill      []float64
	number    []int // of the spline at ix·(ny+3)+iy, -1 where it is not used
	used      int
}

// poisson is the lateral contraction of the usual metals.
const poisson = 0.3

// cells is about how many cells a plate is divided into, and most how many it
// may have along its length.
const cells, most = 700, 120

// newPlate lays the cells over the region around the origin within ±ex, ±ey;
// points are places that must lie on the plate.
func newPlate(d, ex, ey float64, inside func(xy) bool, points []xy) *plate {
	aspect := ex / ey
	along := min(most, max(8, math.Sqrt(cells*max(aspect, 1/aspect))))
	n := 2 * int(math.Ceil(along/2))
	p := &plate{stiffness: d, h: 2 * max(ex, ey) / float64(n)}
	p.nx, p.ny = even(2*ex/p.h), even(2*ey/p.h)
	p.fill = make([]float64, p.nx*p.ny)
	for c := range p.fill {
		p.fill[c] = p.part(c, 4, inside)
		if f := p.fill[c]; f > 0 && f < 1 {
			p.fill[c] = p.part(c, 15, inside)
		}
	}
	// A place that carries load must not hang in a cell that is nearly empty.
	for _, at := range points {
		ix, iy, _, _ := p.cell(at)
		c := ix*p.ny + iy
		p.fill[c] = max(p.fill[c], 0.3)
	}
	p.enumerate()
	return p
}

// part is how much of a cell is inside, by so many points a side.
func (p *plate) part(c, fine int, inside func(xy) bool) float64 {
	x0, y0 := p.corner(c/p.ny, c%p.ny)
	in := 0
	for k := range fine * fine {
		if inside(xy{x0 + p.h*(float64(k/fine)+0.5)/float64(fine), y0 + p.h*(float64(k%fine)+0.5)/float64(fine)}) {
			in++
		}
	}
	return float64(in) / float64(fine*fine)
}

// even is the even number of cells that covers v cells.
func even(v float64) int { return 2 * max(1, int(math.Ceil(v/2-1e-6))) }

func (p *plate) corner(ix, iy int) (x, y float64) {
	return (float64(ix) - float64(p.nx)/2) * p.h, (float64(iy) - float64(p.ny)/2) * p.h
}

// cell finds the cell of a place and where in the cell it is, 0 to 1.
func (p *plate) cell(at xy) (ix, iy int, t, s float64) {
	fx, fy := at.x/p.h+float64(p.nx)/2, at.y/p.h+float64(p.ny)/2
	ix = min(p.nx-1, max(0, int(math.Floor(fx))))
	iy = min(p.ny-1, max(0, int(math.Floor(fy))))
	return ix, iy, fx - float64(ix), fy - float64(iy)
}

func (p *plate) enumerate() {
	p.number = make([]int, (p.nx+3)*(p.ny+3))
	for i := range p.number {
		p.number[i] = -1
	}
	p.eachCell(func(_ float64, splines *[16]int) {
		for _, k := range splines {
			p.number[k] = 0
		}
	})
	for i, v := range p.number {
		if v == 0 {
			p.number[i] = p.used
			p.used++
		}
	}
}

// eachCell visits the cells that are not empty with the 16 splines over each.
func (p *plate) eachCell(visit func(fill float64, splines *[16]int)) {
	for c, f := range p.fill {
		if f == 0 {
			continue
		}
		splines := p.splines(c/p.ny, c%p.ny)
		visit(f, &splines)
	}
}

func (p *plate) splines(ix, iy int) (s [16]int) {
	for k := range s {
		s[k] = (ix+k/4)*(p.ny+3) + iy + k%4
	}
	return s
}

func (p *plate) at(at xy) ([]int, []float64) {
	ix, iy, t, s := p.cell(at)
	bx, by := spline(t), spline(s)
	which, value := make([]int, 16), make([]float64, 16)
	for k, spl := range p.splines(ix, iy) {
		which[k], value[k] = p.number[spl], bx[0][k/4]*by[0][k%4]
	}
	return which, value
}

func (p *plate) matrix() *skyline {
	first := make([]int, p.used)
	for i := range first {
		first[i] = i
	}
	p.eachCell(func(_ float64, splines *[16]int) {
		least := p.number[splines[0]]
		for _, k := range splines {
			first[p.number[k]] = min(first[p.number[k]], least)
		}
	})
	a := newSkyline(first)
	unit := bending()
	p.eachCell(func(fill float64, splines *[16]int) {
		scale := p.stiffness / (p.h * p.h) * fill
		for i, si := range splines {
			for k, sk := range splines {
				a.add(p.number[si], p.number[sk], scale*unit[i][k])
			}
		}
	})
	return a
}

// spline gives the four cubic B-splines over a cell at t in 0 to 1, with their
// first and second derivatives.
func spline(t float64) (b [3][4]float64) {
	u := 1 - t
	b[0] = [4]float64{u * u * u / 6, (3*t*t*t - 6*t*t + 4) / 6, (3*u*u*u - 6*u*u + 4) / 6, t * t * t / 6}
	b[1] = [4]float64{-u * u / 2, (3*t*t - 4*t) / 2, (-3*u*u + 4*u) / 2, t * t / 2}
	b[2] = [4]float64{u, 3*t - 2, 3*u - 2, t}
	return b
}

// bending is the stiffness of a full cell of side 1 and D 1: the integral of
// wxx² + wyy² + 2ν·wxx·wyy + 2(1−ν)·wxy², exact by four Gauss points a side.
func bending() (k [16][16]float64) {
	points := [4]float64{0.069431844202973714, 0.33000947820757187, 0.66999052179242813, 0.93056815579702629}
	weights := [4]float64{0.17392742256872692, 0.32607257743127307, 0.32607257743127307, 0.17392742256872692}
	for a, t := range points {
		bx := spline(t)
		for c, s := range points {
			by := spline(s)
			weight := weights[a] * weights[c]
			var xx, yy, xy [16]float64
			for i := range xx {
				xx[i] = bx[2][i/4] * by[0][i%4]
				yy[i] = bx[0][i/4] * by[2][i%4]
				xy[i] = bx[1][i/4] * by[1][i%4]
			}
			for i := range k {
				for j := range k[i] {
					k[i][j] += weight * (xx[i]*xx[j] + yy[i]*yy[j] + poisson*(xx[i]*yy[j]+yy[i]*xx[j]) + 2*(1-poisson)*xy[i]*xy[j])
				}
			}
		}
	}
	return k
}
