package taxon_test

import (
	"fmt"
	"strings"

	"spadefoot/pipeline/taxon"
)

func ExampleChecklist_Match() {
	list, err := taxon.ReadChecklist(strings.NewReader(`scientificName,acceptedNameUsage,vernacularName,code,family
Lithobates clamitans,,Green Frog,LICL,Ranidae
Rana clamitans,Lithobates clamitans,,,
Lithobates pipiens,,Leopard Frog,LIPI,Ranidae
`), "checklist.csv")
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, text := range []string{"L. clamitans", "green frog", "Rana clamitans", "Lithobates cf. pipiens", "Lithobates pipeins"} {
		m := list.Match(text)
		fmt.Printf("%s: %s, %s", text, m.ScientificName, m.Rank)
		if m.Qualifier != "" {
			fmt.Printf(", %s", m.Qualifier)
		}
		for _, p := range m.Problems {
			fmt.Printf(" [%s %s %s]", p.Level, p.Rule, p.Suggestion)
		}
		fmt.Println()
	}
	// Output:
	// L. clamitans: Lithobates clamitans, species
	// green frog: Lithobates clamitans, species
	// Rana clamitans: Lithobates clamitans, species [note taxon-synonym ]
	// Lithobates cf. pipiens: Lithobates, genus, cf. pipiens [note taxon-doubtful ]
	// Lithobates pipeins: Lithobates pipeins, species [warning taxon-unmatched Lithobates pipiens]
}

func ExampleReadChecklist() {
	_, err := taxon.ReadChecklist(strings.NewReader("scientificName,acceptedNameUsage\nRana clamitans,Lithobates clamitans\n"), "checklist.csv")
	fmt.Println(err)
	// Output:
	// checklist.csv, line 2, column B: "Lithobates clamitans" is not a name of this checklist; add a row for it or correct the spelling
}
