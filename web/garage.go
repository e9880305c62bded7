package web

import (
	"context"
	"strings"
	"sync"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/plan/access"
)

// An atlas holds the host's maps once they were asked for: reading one takes
// longer than showing it, so what was read is remembered between pages.
type atlas struct {
	once sync.Once
	maps *garage.Maps
}

func (h *Host) kept() *garage.Maps {
	h.atlas.once.Do(func() { h.atlas.maps = garage.NewMaps(h.Documents) })
	return h.atlas.maps
}

type mapLine = garage.MapLine

func (h *Host) maps(ctx context.Context) ([]mapLine, error) { return h.kept().List(ctx) }

func (h *Host) vehicles(ctx context.Context) ([]garage.Vehicle, error) {
	return garage.Vehicles{Documents: h.Documents}.List(ctx)
}

// ownedVehicle is the kept vehicle that a form means: by its VIN, else by a name
// that only one has. Nil for none, and where the vehicles cannot be read: a job
// can be started all the same.
func (h *Host) ownedVehicle(ctx context.Context, name, vin string) *garage.Vehicle {
	owned, err := h.vehicles(ctx)
	if err != nil {
		return nil
	}
	var named []*garage.Vehicle
	for i := range owned {
		v := &owned[i]
		if vin != "" && strings.EqualFold(v.VIN, vin) {
			return v
		}
		if garage.PlainName(v.Name) == garage.PlainName(name) && (vin == "" || v.VIN == "") {
			named = append(named, v)
		}
	}
	if len(named) != 1 {
		return nil
	}
	return named[0]
}

// shelf is what is owned; an empty one when nothing was written down yet.
func (h *Host) shelf(ctx context.Context) (garage.Shelf, error) {
	s, _, err := garage.LoadShelf(ctx, h.Documents)
	return s, err
}

// mapOf gives the newest version of the map a job was started with.
func (h *Host) mapOf(ctx context.Context, s *job.State) (*access.Map, int, error) {
	if s.MapID == "" {
		return nil, 0, fault.New(fault.NotFound, "This job has no access map: it is recorded as things come off. Start a job with a map to plan one.")
	}
	m, d, err := h.kept().Load(ctx, s.MapID)
	if fault.Is(err, fault.NotFound) {
		return nil, 0, fault.Wrap(err, fault.NotFound, "The access map %q is not kept here. Import it under Maps, then open the job again.", s.MapID)
	}
	return m, d.Version, err
}

func jointKinds() []string { return access.JointKinds }

// garageRoutes are the pages of what is not a job.
func (h *Host) garageRoutes(mux *Router) {
	h.mapRoutes(mux)
	h.mapEditRoutes(mux)
	h.vehicleRoutes(mux)
	h.shelfRoutes(mux)
}
