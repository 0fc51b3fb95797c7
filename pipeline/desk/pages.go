package desk

// pages are the pages of a desk, in the order of the navigation.
func pages() []Page {
	return []Page{
		{Path: "/questions", Name: "Questions", Routes: questions},
		{Path: "/doubts", Name: "Doubts", Routes: doubts},
		{Path: "/type-in", Name: "Type in", Routes: typeIn},
		{Path: "/season", Name: "Season", Routes: season},
		{Path: "/publish", Name: "Publish", Routes: publish},
	}
}
