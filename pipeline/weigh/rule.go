package weigh

import "spadefoot/pipeline/record"

// The rules that this stage raises; schemas/rules/weigh.csv describes them.
const (
	ruleTareMissing  = "tare-missing"
	ruleTareZero     = "tare-zero"
	ruleTareNotLess  = "tare-not-less-than-gross"
	ruleTareUnlike   = "tare-unlike-session"
	ruleNotPositive  = "net-not-positive"
	ruleNetDiffers   = "net-differs-from-readings"
	ruleNetUncertain = "net-uncertain"
	ruleNetBound     = "net-only-bounded"
	RuleCapacity     = "reading-beyond-capacity"
	ruleGraduation   = "reading-off-graduation"
	ruleLow          = "gross-low-on-scale"
	ruleBagUnknown   = "bag-unknown"
	ruleBagLater     = "bag-weighed-later"
	ruleScaleUnknown = "scale-unknown"
	ruleDrifted      = "scale-drifted"
	ruleCheckUnread  = "scale-check-unread" // a line on a check that was not understood
)

var levels = map[string]record.Level{
	ruleTareMissing: record.Warning, ruleTareZero: record.Warning, ruleTareNotLess: record.Error, ruleTareUnlike: record.Warning,
	ruleNotPositive: record.Error, ruleNetDiffers: record.Warning, ruleNetUncertain: record.Note,
	ruleNetBound: record.Note, RuleCapacity: record.Error, ruleGraduation: record.Note,
	ruleLow: record.Note, ruleBagUnknown: record.Warning, ruleBagLater: record.Warning,
	ruleScaleUnknown: record.Note, ruleDrifted: record.Warning, ruleCheckUnread: record.Note,
}
