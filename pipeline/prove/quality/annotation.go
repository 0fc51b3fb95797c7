package quality

import "strings"

var annotationTests = map[string]answer{"ISSUE_ANNOTATION_NOTEMPTY": annotated}

// annotated asks the record itself, which may carry an annotation of it as the
// published validation data do. No other store of annotations is asked.
func annotated(r Record, p Params) Response {
	if !p.available("annotationSystem") {
		return external("the annotation store %s is not available", strings.TrimSpace(p.value("annotationSystem")))
	}
	return issue(r.first("oa:hasTarget", "bdqval:annotationAlertif", "bdqval:annotationAlertIf") != "",
		"the record has an annotation", "the record has no annotation; no other annotation store was asked")
}
