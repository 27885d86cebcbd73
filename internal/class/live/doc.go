// Package live is a class under way: benches in browsers connected to the
// server, what they do, and what the instructor does to them.
//
// In practice a bench computes in the browser and sends the lines of its log;
// in an assessment it sends actions only, and the bench runs here. Either way
// an entry is acknowledged only when it is on the disk, so that whatever was
// acknowledged outlives a crash of the server, and whatever was not is sent
// again by the browser.
package live
