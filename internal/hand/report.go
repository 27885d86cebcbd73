package hand

import "foilwright/sim/bench"

// What a pose must have changed by to be worth a line in the log, and how often
// at most. Touch-down, lift-off, the top of a lift and the pose just before the
// reading is taken are always sent exactly.
const (
	sendEveryMs     = 34
	hoverMoveUm     = 500
	hoverHeightUm   = 12_000
	hoverTiltMdeg   = 2_000
	pressEveryMs    = 100
	pressMoveUm     = 200
	pressTiltMdeg   = 400
	pressForceMN    = 250
	captureTiltMdeg = 50
)

// report sends the pose when it is worth a line.
func (h *Hand) report() {
	p := h.pose()
	touched, wasTouched := p.HeightUm == 0, h.sent.HeightUm == 0
	switch {
	case touched != wasTouched:
		h.emit(true)
	case touched:
		h.reportContact(p)
	case h.phase == Lowering && h.up > 0 && h.up <= gentleMmPerS*stepMs/1000+0.0005 && !h.beside():
		h.emit(true) // the next step touches: this pose fixes the landing speed
	case h.phase == Hovering && abs(p.HeightUm-h.sent.HeightUm) > 500:
		h.emit(true) // back at the top
	case h.tick-h.sentAt >= sendEveryMs && h.moved(p, hoverMoveUm, hoverTiltMdeg, hoverHeightUm):
		h.emit(true)
	}
}

func (h *Hand) reportContact(p bench.Pose) {
	due := h.touchedAt + afterCapture
	switch {
	case !h.captureSent && h.tick >= due:
		h.captureSent = true
		h.actions = append(h.actions, bench.Action{At: h.tick, Do: bench.Wait})
	case h.tick+stepMs == due && h.moved(p, pressMoveUm/4, captureTiltMdeg, 0):
		h.emit(true)
	case h.tick-h.sentAt >= pressEveryMs && (h.moved(p, pressMoveUm, pressTiltMdeg, 0) || abs(p.PressMN-h.sent.PressMN) >= pressForceMN):
		h.emit(true)
	case h.tick-h.sentAt >= sendEveryMs && h.sliding && h.moved(p, pressMoveUm, 90_000, 0):
		h.emit(true)
	}
}

// moved reports whether a pose differs from the one last sent by a limit or
// more. heightUm 0 leaves the height out.
func (h *Hand) moved(p bench.Pose, sidewaysUm, tiltMdeg, heightUm int64) bool {
	s := h.sent
	return abs(p.XUm-s.XUm) >= sidewaysUm || abs(p.YUm-s.YUm) >= sidewaysUm ||
		abs(p.TiltX-s.TiltX) >= tiltMdeg || abs(p.TiltY-s.TiltY) >= tiltMdeg ||
		heightUm > 0 && abs(p.HeightUm-s.HeightUm) >= heightUm
}

// emit sends the pose as it is now; unless forced, only when it has changed.
func (h *Hand) emit(force bool) {
	p := h.pose()
	if !force && p.HeightUm == h.sent.HeightUm {
		return
	}
	h.sent, h.sentAt = p, h.tick
	h.actions = append(h.actions, bench.Action{At: h.tick, Do: bench.MoveProbe, Pose: &p})
}

func abs(x int64) int64 {
	if x < 0 {
		return -x
	}
	return x
}
