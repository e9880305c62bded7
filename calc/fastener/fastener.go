// Package fastener is the engine of threaded fasteners: threads and their
// strength, torque and preload, stripping, bolts and the holes they came from,
// and the means at hand (wrenches, adapters, bars, a luggage scale).
//
// Start with ParseThread and FindGrade; LoadsOf, TorqueFor, LongTorque,
// StripCheck, AdviceTorque, FitBolt, WrenchFit and WrenchSetting are what other
// code calls.
// Group holds the calculations made from them, one file each, for the registry.
//
// Lengths, torques and forces are typed and in base units. The functions are
// total on what ParseThread and FindGrade give; where another argument can make
// no sense, they return an error with a sentence for a person. The package does
// not replace a maker's value: what it computes without one is a band for
// judgement, and joints whose failure hurts people are refused such a band.
package fastener

import "lastbolt/calc"

// Group is the engine's calculations.
var Group = calc.NewGroup("fastener", "Bolts and threads",
	"What a thread is and bears, how tight it is to be, which bolt goes where, and what the tools at hand can do.")
