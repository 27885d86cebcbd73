// Package load holds the load test of the class server, which runs by hand:
// see load_test.go.
package load
