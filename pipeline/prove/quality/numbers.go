package quality

// numberTests ask whether numbers are in range and in order.
var numberTests = map[string]answer{
	"VALIDATION_COORDINATES_NOTZERO":                coordinatesNotZero,
	"VALIDATION_COORDINATEUNCERTAINTY_INRANGE":      uncertaintyInRange,
	"VALIDATION_DECIMALLATITUDE_INRANGE":            angleInRange("decimalLatitude", 90),
	"VALIDATION_DECIMALLONGITUDE_INRANGE":           angleInRange("decimalLongitude", 180),
	"VALIDATION_MAXDEPTH_INRANGE":                   depthInRange("maximumDepthInMeters"),
	"VALIDATION_MINDEPTH_INRANGE":                   depthInRange("minimumDepthInMeters"),
	"VALIDATION_MAXELEVATION_INRANGE":               elevationInRange("maximumElevationInMeters"),
	"VALIDATION_MINELEVATION_INRANGE":               elevationInRange("minimumElevationInMeters"),
	"VALIDATION_MINDEPTH_LESSTHAN_MAXDEPTH":         inOrder("minimumDepthInMeters", "maximumDepthInMeters", true),
	"VALIDATION_MINELEVATION_LESSTHAN_MAXELEVATION": inOrder("minimumElevationInMeters", "maximumElevationInMeters", false),
}

// farthest is half the circumference of the earth at the equator, in metres.
const farthest = 20037509

func coordinatesNotZero(r Record, _ Params) Response {
	lat, okLat := number(r("decimalLatitude"))
	lon, okLon := number(r("decimalLongitude"))
	if !okLat || !okLon {
		return internal("decimalLatitude or decimalLongitude is empty or not a number")
	}
	return judged(lat != 0 || lon != 0, "the coordinates are not both zero", "both coordinates are zero")
}

func uncertaintyInRange(r Record, _ Params) Response {
	const term = "coordinateUncertaintyInMeters"
	if !r.has(term) {
		return internal("%s is empty", term)
	}
	x, ok := number(r(term))
	if !ok {
		return notCompliant("%s is not a number", term)
	}
	return judged(x >= 1 && x <= farthest, term+" is in range", term+" is out of range")
}

func angleInRange(term string, limit float64) answer {
	return func(r Record, _ Params) Response {
		x, ok := number(r(term))
		if !ok {
			return internal("%s is empty or not a number", term)
		}
		return judged(x >= -limit && x <= limit, term+" is in range", term+" is out of range")
	}
}

func depthInRange(term string) answer {
	return inRange(term, "minimumValidDepthInMeters", "maximumValidDepthInMeters", true)
}

func elevationInRange(term string) answer {
	return inRange(term, "minimumValidElevationInMeters", "maximumValidElevationInMeters", false)
}

func inRange(term, lowest, highest string, positive bool) answer {
	return func(r Record, p Params) Response {
		x, ok := number(r(term))
		if !ok || positive && x < 0 {
			return internal("%s is empty or not a usable number", term)
		}
		return judged(x >= p.number(lowest) && x <= p.number(highest), term+" is in range", term+" is out of range")
	}
}

func inOrder(low, high string, positive bool) answer {
	return func(r Record, _ Params) Response {
		a, okA := number(r(low))
		b, okB := number(r(high))
		if !okA || !okB || positive && (a < 0 || b < 0) {
			return internal("%s or %s is empty or not a usable number", low, high)
		}
		return judged(a <= b, low+" is not above "+high, low+" is above "+high)
	}
}
