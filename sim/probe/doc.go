// Package probe holds the probe designs of the bench and how a probe sits on a part.
package probe
