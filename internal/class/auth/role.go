package auth

// Role is what somebody may do.
type Role string

// The roles. A trainee has no account: joining a class makes one.
const (
	Nobody     Role = ""
	Trainee    Role = "trainee"
	Assessor   Role = "assessor"
	Instructor Role = "instructor"
)

// May is a thing that not everybody may do.
type May string

// The rights.
const (
	RunClass May = "run a class"       // make, hand out, watch, close, export, delete
	SeeTruth May = "see the truth"     // findings and replay of finished attempts
	Assess   May = "assess"            // mark, remark, sign off
	SeeAudit May = "see the audit"     // the audit trail
	Invite   May = "invite people"     // accounts of others
	Work     May = "work at the bench" // in one's own class
)

var rights = map[Role][]May{
	Instructor: {RunClass, SeeTruth, Assess, SeeAudit, Invite},
	Assessor:   {SeeTruth, Assess, SeeAudit},
	Trainee:    {Work},
}

// Can reports whether a role has a right.
func (r Role) Can(m May) bool {
	for _, have := range rights[r] {
		if have == m {
			return true
		}
	}
	return false
}
