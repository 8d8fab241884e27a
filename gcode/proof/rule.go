package proof

import (
	"proofcut/gcode/interp"
)

// Rule is one thing that a proof looks for.
type Rule struct {
	Name     string
	Severity Severity
	Reason   string // why it matters, in one or two sentences

	watch func() watcher // nil: reported by the reading itself
}

// watcher follows a program for one rule. see is called for every action
// before it changes the material; m is nil when nothing moves. end is called
// once when the program is over.
type watcher interface {
	see(c *checker, e *interp.Event, m *motion)
	end(c *checker)
}

// noEnd is embedded by watchers that have nothing to say at the end.
type noEnd struct{}

func (noEnd) end(*checker) {}

// Rules returns all rules in the order in which they are applied.
func Rules() []Rule {
	return []Rule{
		ruleLanguage,
		ruleWords,
		ruleInherited,
		ruleFrame,
		ruleStart,
		ruleTool,
		ruleLength,
		ruleNoLength,
		ruleSpindle,
		ruleSpinUp,
		ruleSpeed,
		ruleCoolant,
		ruleData,
		ruleFeedSet,
		ruleFeedLimit,
		rulePlungeFeed,
		ruleEnvelope,
		ruleTravel,
		ruleTravelHeight,
		ruleZone,
		ruleRapid,
		ruleBody,
		rulePlunge,
		ruleTapping,
		ruleOutside,
		ruleDepth,
		ruleFeatureTool,
		ruleBacking,
		ruleSkin,
		ruleLoose,
		ruleEntered,
		rulePartSize,
		ruleDefect,
		ruleOutline,
		ruleEngraved,
		ruleStanding,
		rulePath,
		ruleFeedUnit,
		ruleKept,
		ruleRepeat,
		ruleRadiusArc,
		ruleTableDiameter,
		ruleDwell,
		ruleOverride,
		ruleStop,
		ruleSelected,
		ruleAfterEnd,
		ruleShort,
		ruleClosing,
		ruleBlockRate,
		ruleCutMaterial,
		ruleToolMaterial,
		ruleToolBreaks,
		ruleToolStress,
		ruleDeflection,
		ruleChipThick,
		ruleChipThin,
		ruleSpindleStalls,
		ruleSpindleLoad,
		rulePlungeBreaks,
		rulePlungeLoad,
		ruleDrillSideways,
		ruleRamp,
		ruleStepDown,
		ruleEngagementPeak,
		ruleCuttingSpeed,
		ruleEnd,
	}
}
