package opening

import (
	"context"
	"strings"
)

func (e *Impossible) Error() string { return strings.Join(e.Reasons, " ") }

func (m *model) impossible(context.Context) error {
	return &Impossible{Target: m.targets[0], Reasons: []string{"There is no plan for this."}}
}
