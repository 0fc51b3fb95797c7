package darwincore

import (
	"cmp"
	"encoding/xml"
	"io"
	"net/url"
	"strings"

	"spadefoot/pipeline/darwincore/terms"
)

const (
	emlSpace = "https://eml.ecoinformatics.org/eml-2.2.0"
	orcidURL = "https://orcid.org/"
)

// emlDocument is the part of EML 2.2.0 that we write, in the order that its
// schema requires.
type emlDocument struct {
	XMLName   xml.Name   `xml:"eml:eml"`
	Space     string     `xml:"xmlns:eml,attr"`
	PackageID string     `xml:"packageId,attr"`
	System    string     `xml:"system,attr"`
	Dataset   emlDataset `xml:"dataset"`
}

type emlDataset struct {
	AlternateIdentifier string       `xml:"alternateIdentifier,omitempty"`
	Title               string       `xml:"title"`
	Creators            []emlParty   `xml:"creator"`
	MetadataProviders   []emlParty   `xml:"metadataProvider"`
	Associates          []emlParty   `xml:"associatedParty"`
	PubDate             string       `xml:"pubDate,omitempty"`
	Language            string       `xml:"language,omitempty"`
	Abstract            *emlText     `xml:"abstract"`
	Keywords            *emlKeywords `xml:"keywordSet"`
	AdditionalInfo      []emlText    `xml:"additionalInfo"`
	Rights              *emlText     `xml:"intellectualRights"`
	Licensed            *emlLicence  `xml:"licensed"`
	Distribution        *emlOnline   `xml:"distribution"`
	Coverage            *emlCoverage `xml:"coverage"`
	Purpose             *emlText     `xml:"purpose"`
	Acknowledgements    *emlText     `xml:"acknowledgements"`
	Contacts            []emlParty   `xml:"contact"`
	Publisher           *emlParty    `xml:"publisher"`
	Methods             *emlMethods  `xml:"methods"`
	Project             *emlProject  `xml:"project"`
}

type emlParty struct {
	Individual   *emlName    `xml:"individualName"`
	Organisation string      `xml:"organizationName,omitempty"`
	Position     string      `xml:"positionName,omitempty"`
	Address      *emlAddress `xml:"address"`
	Email        string      `xml:"electronicMailAddress,omitempty"`
	UserID       *emlUser    `xml:"userId"`
	Role         string      `xml:"role,omitempty"`
}

type emlOnline struct {
	URL string `xml:"online>url"`
}

type emlAddress struct {
	Country string `xml:"country"`
}

type emlName struct {
	Given  string `xml:"givenName,omitempty"`
	Family string `xml:"surName"`
}

type emlUser struct {
	Directory string `xml:"directory,attr"`
	ID        string `xml:",chardata"`
}

type emlText struct {
	Sections []emlSection `xml:"section"`
	Paras    []emlPara    `xml:"para"`
}

type emlSection struct {
	Title string    `xml:"title"`
	Paras []emlPara `xml:"para"`
}

type emlPara struct {
	Text string   `xml:",chardata"`
	Link *emlLink `xml:"ulink"`
}

type emlLink struct {
	URL   string `xml:"url,attr"`
	Title string `xml:"citetitle"`
}

type emlKeywords struct {
	Words []string `xml:"keyword"`
}

type emlLicence struct {
	Name string `xml:"licenseName"`
	URL  string `xml:"url"`
}

type emlProject struct {
	Title     string     `xml:"title"`
	Personnel []emlParty `xml:"personnel"`
	Funding   *emlText   `xml:"funding"`
}

// WriteEML writes the metadata of a dataset as EML 2.2.0: the description as
// it was given, coverage and steps as the captures showed them.
func WriteEML(w io.Writer, d Dataset, c *Coverage, steps []Step) error {
	doc := emlDocument{Space: emlSpace, PackageID: d.ID, System: system(d.ID)}
	e := &doc.Dataset
	if d.Version != "" {
		doc.PackageID += "/" + d.Version
		e.AlternateIdentifier = d.ID
	}
	e.Title = d.Title
	e.Creators = parties(d.Creators)
	e.MetadataProviders = parties(d.contacts()[:1])
	e.Associates = parties(d.Associates)
	for i := range e.Associates {
		e.Associates[i].Role = cmp.Or(d.Associates[i].Role, "associate")
	}
	e.PubDate = cmp.Or(d.Published, c.LastDay())
	e.Language = d.Language
	e.Abstract = text(d.Description)
	if len(d.Keywords) > 0 {
		e.Keywords = &emlKeywords{d.Keywords}
	}
	for _, s := range []struct{ title, body string }{{"Permits", d.Permits}, {"Ethics", d.Ethics}, {"How to cite", d.Citation}, {"Media", d.Media.text()}} {
		if t := text(s.body); t != nil {
			e.AdditionalInfo = append(e.AdditionalInfo, emlText{Sections: []emlSection{{s.title, t.Paras}}})
		}
	}
	if l, ok := terms.FindLicence(d.Licence); ok {
		e.Rights = &emlText{Paras: []emlPara{{Text: "Licence: ", Link: &emlLink{l.URL, l.Full}}}}
		e.Licensed = &emlLicence{l.Full, l.URL}
	}
	if d.URL != "" {
		e.Distribution = &emlOnline{d.URL}
	}
	e.Coverage = emlCover(c, &d)
	e.Purpose = text(d.Purpose)
	e.Acknowledgements = text(d.Thanks)
	contacts := d.contacts()
	e.Contacts = parties(contacts)
	if d.Publisher.Name() != "" {
		p := party(d.Publisher)
		e.Publisher = &p
	}
	e.Methods = methods(&d, c, steps)
	if d.Funding != "" {
		e.Project = &emlProject{Title: d.Title, Personnel: parties(contacts[:1]), Funding: text(d.Funding)}
		e.Project.Personnel[0].Role = "contact"
	}
	return writeXML(w, doc)
}

// contacts are the people to ask, who also gave the description.
func (d *Dataset) contacts() []Person {
	if len(d.Contacts) == 0 {
		return d.Creators
	}
	return d.Contacts
}

// system names the authority that the identifier belongs to.
func system(id string) string {
	switch {
	case strings.HasPrefix(id, "doi:"), strings.HasPrefix(id, "10."):
		return "https://doi.org"
	case strings.HasPrefix(id, "urn:"):
		parts := strings.SplitN(id, ":", 3)
		return strings.Join(parts[:min(2, len(parts))], ":")
	}
	if u, err := url.Parse(id); err == nil && u.Scheme != "" && u.Host != "" {
		return u.Scheme + "://" + u.Host
	}
	return "local"
}

func parties(people []Person) []emlParty {
	var out []emlParty
	for _, p := range people {
		out = append(out, party(p))
	}
	return out
}

func party(p Person) emlParty {
	e := emlParty{Organisation: p.Organisation, Position: p.Position, Email: p.Email}
	if p.Country != "" {
		e.Address = &emlAddress{p.Country}
	}
	if p.Family != "" {
		e.Individual = &emlName{p.Given, p.Family}
	}
	if id, err := terms.ORCID(p.ORCID); err == nil {
		e.UserID = &emlUser{strings.TrimSuffix(orcidURL, "/"), orcidURL + id}
	}
	return e
}

// text makes a paragraph of every block of lines between blank lines.
func text(s string) *emlText {
	var t emlText
	for _, block := range strings.Split(strings.ReplaceAll(s, "\r\n", "\n"), "\n\n") {
		if p := strings.Join(strings.Fields(block), " "); p != "" {
			t.Paras = append(t.Paras, emlPara{Text: p})
		}
	}
	if len(t.Paras) == 0 {
		return nil
	}
	return &t
}
