package field

import (
	"math"

	"foilwright/sim/num"
)

// matrix is dense, row after row.
type matrix struct {
	rows, cols int
	at         []float64
}

func newMatrix(rows, cols int) matrix { return matrix{rows, cols, make([]float64, rows*cols)} }

func (m matrix) row(i int) []float64 { return m.at[i*m.cols : (i+1)*m.cols] }

// pseudoInverse returns the least-squares inverse of a tall matrix of full column rank by Householder reflections;
// G. H. Golub and C. F. Van Loan, Matrix Computations, 5.2 and 5.3. The argument is overwritten.
func (m matrix) pseudoInverse() matrix {
	rows, cols := m.rows, m.cols
	// right starts as the identity and collects the reflections: right = Q^T.
	right := newMatrix(rows, rows)
	for i := range rows {
		right.at[i*rows+i] = 1
	}
	v := make([]float64, rows)
	sums := make([]float64, rows)
	reflect := func(target matrix, from int) {
		for j := range target.cols {
			sums[j] = 0
		}
		for i := from; i < rows; i++ {
			for j, t := range target.row(i) {
				sums[j] += float64(v[i] * t)
			}
		}
		for i := from; i < rows; i++ {
			for j := range target.row(i) {
				target.at[i*target.cols+j] -= float64(2 * v[i] * sums[j])
			}
		}
	}
	for k := range cols {
		norm := 0.0
		for i := k; i < rows; i++ {
			norm += float64(m.at[i*cols+k] * m.at[i*cols+k])
		}
		norm = math.Sqrt(norm)
		length := 0.0
		for i := k; i < rows; i++ {
			v[i] = m.at[i*cols+k]
			if i == k {
				v[i] += math.Copysign(norm, v[i])
			}
			length += float64(v[i] * v[i])
		}
		length = math.Sqrt(length)
		for i := k; i < rows; i++ {
			v[i] /= length
		}
		reflect(m, k)
		reflect(right, k)
	}
	inverse := newMatrix(cols, rows)
	for i := cols - 1; i >= 0; i-- {
		copy(inverse.row(i), right.row(i))
		for k := i + 1; k < cols; k++ {
			f := m.at[i*cols+k]
			for j := range inverse.row(i) {
				inverse.at[i*rows+j] -= float64(f * inverse.at[k*rows+j])
			}
		}
		for j := range inverse.row(i) {
			inverse.at[i*rows+j] /= m.at[i*cols+i]
		}
	}
	return inverse
}

// times returns the product m b.
func (m matrix) times(b matrix) matrix {
	product := newMatrix(m.rows, b.cols)
	for i := range m.rows {
		out := product.row(i)
		for k, f := range m.row(i) {
			for j, x := range b.row(k) {
				out[j] += float64(f * x)
			}
		}
	}
	return product
}

// solve overwrites the right-hand side with the solution of the complex system given as n rows of n+1 numbers in
// separate real and imaginary parts, the last column being the right-hand side. Gaussian elimination with row pivots.
func solve(re, im []float64, n int, out []complex128) {
	width := n + 1
	for k := range n {
		pivot, best := k, -1.0
		for i := k; i < n; i++ {
			if size := math.Abs(re[i*width+k]) + math.Abs(im[i*width+k]); size > best {
				pivot, best = i, size
			}
		}
		if pivot != k {
			for j := k; j < width; j++ {
				re[k*width+j], re[pivot*width+j] = re[pivot*width+j], re[k*width+j]
				im[k*width+j], im[pivot*width+j] = im[pivot*width+j], im[k*width+j]
			}
		}
		top, topIm := re[k*width:(k+1)*width], im[k*width:(k+1)*width]
		inverse := num.Div(1, complex(top[k], topIm[k]))
		for i := k + 1; i < n; i++ {
			row, rowIm := re[i*width:(i+1)*width], im[i*width:(i+1)*width]
			f := num.Mul(complex(row[k], rowIm[k]), inverse)
			fr, fi := real(f), imag(f)
			for j := k + 1; j < width; j++ {
				row[j] -= float64(fr*top[j]) - float64(fi*topIm[j])
				rowIm[j] -= float64(fr*topIm[j]) + float64(fi*top[j])
			}
		}
	}
	for i := n - 1; i >= 0; i-- {
		sum := complex(re[i*width+n], im[i*width+n])
		for j := i + 1; j < n; j++ {
			sum -= num.Mul(complex(re[i*width+j], im[i*width+j]), out[j])
		}
		out[i] = num.Div(sum, complex(re[i*width+i], im[i*width+i]))
	}
}
