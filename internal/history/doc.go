// Package history follows a trainee from attempt to attempt: how far each
// skill is mastered, how the score and the error develop, and what to practise
// next and why.
//
// Start with Of, which keeps of a graded attempt what a history needs, and
// Evaluate, which makes the Standing of a list of them. A Book keeps the list
// as JSON Lines wherever its two functions put them; the computation touches no
// file and no clock.
//
// Mastery is a cumulative-sum chart for each skill (inspect.CUSUM) with the
// parameters of Chart: failure rate 10 % acceptable and 20 % not, both risks
// 10 %. Each success lowers the sum by s = 0.145, each failure raises it by
// 1 - s; a trainee is found competent at -2.71, which takes 19 successes in a
// row from the start, and below standard at +2.71.
//
// Source of the method: A. Wald, Sequential Analysis, 1947, binomial case
// (formulas from memory); of the rates 10 and 20 %: published learning-curve
// studies of practical procedures, which found a median of 25 to 33 attempts
// with them (abstracts read). Other rates give other verdicts.
//
// What it does not say: that a trainee is competent on a real instrument. It
// certifies nobody.
package history
