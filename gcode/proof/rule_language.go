package proof

var ruleLanguage = Rule{
	Name:     "language",
	Severity: Fault,
	Reason:   "A word that is unknown, contradictory or out of place may mean anything to a control; the text has to be RS-274 to the letter.",
}
