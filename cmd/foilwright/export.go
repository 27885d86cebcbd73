//go:build !js

package main

// export is not needed where attempts are files already.
var export func(name string, data []byte) error
