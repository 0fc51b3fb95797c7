package sheet

import (
	"bytes"
	"os/exec"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"spadefoot/pipeline/record"
	"spadefoot/pipeline/record/need"

	"golang.org/x/text/encoding/charmap"
)

// sheets in the languages of field teams, all invented.
var (
	french  = "Numéro,Site,Remarque\n1,Étang du Castor,\"trouvé près de l'île, mâle\"\n2,Montréal,déjà marquée\n3,Trois-Rivières,jeune à côté du fossé\n"
	german  = "Nummer,Ort,Bemerkung\n1,Großer Weiher,Männchen über der Straße\n2,Möhnesee,Weibchen trächtig größer\n3,Üdersee,kälter als früher\n"
	spanish = "Número,Sitio,Nota\n1,Cañón del Sapo,hembra pequeña\n2,Laguna de los Niños,más de 10 años\n3,Río Seco,dañado en la extremidad\n"
	danish  = "Nummer,Sted,Note\n1,Ålborg,frø på bred\n2,Sjælland,små tudser i grøften\n3,Ærø,ældre hun\n"
	czech   = "Číslo,Místo,Poznámka\n1,Třeboň,žába ležela u břehu\n2,Ústí,sameček větší než obvykle\n3,Jindřichův Hradec,čtyři ropuchy křičely\n"
	polish  = "Numer,Miejsce,Uwagi\n1,Łódź,żaba zielona większa\n2,Poznań,samiec w trawie śpiący\n3,Gdańsk,ślad na tylnej łapie źle widoczny\n"
	russian = "Номер,Место,Заметка\n1,Пруд,лягушка остромордая самец\n2,Болото,жаба серая взрослая самка\n3,Озеро,травяная лягушка молодая\n"
	signs   = "No,Lat,Air,Note\n1,45° 12.5,18.5 °C,it’s calling – don’t disturb\n2,45° 13.1,19 °C ± 0.5,“loud” male\n3,45° 13.9,20 °C,tag won’t read\n"
	ordinal = "Nº marcação,Nº de anéis,Temp. ar (°C)\nJ3575,5,22.1\nJ3576,7,21.9\n"
	oneWord = "Tag,Site\nA1,Beaver Pond\nA2,Montréal\n"
)

// TestEncodingsAgainstIconv has iconv write each sheet in each encoding that
// holds it; it has to be read back whole with no help.
func TestEncodingsAgainstIconv(t *testing.T) {
	iconv := need.Tool(t, "iconv")
	western := map[string]string{"french": french, "german": german, "spanish": spanish, "danish": danish, "one word": oneWord, "ordinal": ordinal}
	central := map[string]string{"czech": czech, "polish": polish}
	all := map[string]string{"french": french, "russian": russian, "polish": polish, "signs": signs}
	tests := []struct {
		encoding string // as iconv calls it
		sheets   map[string]string
	}{
		{"UTF-8", all}, {"UTF-16LE", all}, {"UTF-16BE", all}, {"UTF-16", all},
		{"WINDOWS-1252", western}, {"MACINTOSH", western}, {"CP850", western}, {"CP437", map[string]string{"french": french, "german": german, "spanish": spanish, "one word": oneWord}},
		{"ISO-8859-1", western}, {"ISO-8859-15", western},
		{"WINDOWS-1252", map[string]string{"signs": signs}}, {"MACINTOSH", map[string]string{"signs": signs}},
		{"WINDOWS-1250", central}, {"ISO-8859-2", central},
		{"WINDOWS-1251", map[string]string{"russian": russian}}, {"KOI8-R", map[string]string{"russian": russian}},
	}
	for _, test := range tests {
		for name, text := range test.sheets {
			t.Run(test.encoding+"/"+name, func(t *testing.T) {
				if test.encoding == "CP437" {
					text = strings.NewReplacer("À", "A", "Ú", "U", "Í", "I").Replace(text)
				}
				want, _, err := ReadText("t.csv", strings.NewReader(text), Options{Encoding: "UTF-8"})
				if err != nil {
					t.Fatal(err)
				}
				b := convert(t, iconv, test.encoding, text)
				got, found, err := ReadText("t.csv", bytes.NewReader(b), Options{})
				if err != nil {
					t.Fatal(err)
				}
				if d := cmp.Diff(texts(want), texts(got)); d != "" {
					t.Errorf("%s\n%v", d, found)
				}
				guessed := strings.HasPrefix(strings.Join(raised(found), ","), ruleEncoding)
				if certain := test.encoding == "UTF-8" || test.encoding == "UTF-16"; guessed == certain {
					t.Errorf("findings: %v", found)
				}
				named := test.encoding
				got, found, err = ReadText("t.csv", bytes.NewReader(b), Options{Encoding: named})
				if err != nil || len(found) > 0 {
					t.Fatal(err, found)
				}
				if d := cmp.Diff(texts(want), texts(got)); d != "" {
					t.Errorf("named: %s", d)
				}
			})
		}
	}
}

func convert(t *testing.T, iconv, to, text string) []byte {
	t.Helper()
	cmd := exec.Command(iconv, "-f", "UTF-8", "-t", to)
	cmd.Stdin = strings.NewReader(text)
	b, err := cmd.Output()
	if err != nil {
		t.Fatalf("iconv -t %s: %v", to, err)
	}
	return b
}

func TestEncodingFinding(t *testing.T) {
	_, found, err := ReadText("t.csv", strings.NewReader("Tag,Site\nA1,Montr\xe9al\nA2,Qu\xe9bec\n"), Options{})
	if err != nil || len(found) != 1 {
		t.Fatal(err, found)
	}
	f := found[0]
	if f.Rule != ruleEncoding || f.Level != record.Note || f.Value != "Montréal" || !strings.Contains(f.Reason, "windows-1252") {
		t.Errorf("got %+v", f)
	}
	if f.Figures[0].Name != "confidence" || f.Figures[0].Value <= 0.6 || f.Figures[0].Value >= 1 {
		t.Errorf("got %+v", f.Figures)
	}
}

// TestLateEncoding has the first character beyond ASCII far behind what is
// looked at first, and then on a border of chunks.
func TestLateEncoding(t *testing.T) {
	row := "A1,Beaver Pond,57.5\n"
	for _, n := range []int{1, 5000, 6553, 6554, 20_000} {
		for _, e := range []struct{ name, bytes string }{{"windows-1252", "Montr\xe9al"}, {"macintosh", "Montr\x8eal"}, {"UTF-8", "Montréal"}} {
			text := strings.Repeat(row, n) + strings.Repeat("B2,"+e.bytes+",60\n", 3000)
			s, found, err := ReadText("t.csv", strings.NewReader(text), Options{})
			if err != nil {
				t.Fatal(n, e.name, err)
			}
			if len(s.Rows) != n+3000 || s.Rows[n+2999].Cells[1].Text != "Montréal" || s.Rows[n].Cells[1].Text != "Montréal" {
				t.Errorf("%d rows, %s: %d rows, last %v", n, e.name, len(s.Rows), s.Rows[len(s.Rows)-1])
			}
			if want := min(1, len(e.name)-5); len(found) != want {
				t.Errorf("%d rows, %s: %v", n, e.name, found)
			}
		}
	}
}

func TestLookup(t *testing.T) {
	for name, want := range map[string]string{
		"utf8": "UTF-8", "UTF-8": "UTF-8", "us-ascii": "UTF-8", "latin1": "windows-1252", "ISO-8859-1": "windows-1252", "Mac Roman": "macintosh",
		"macintosh": "macintosh", "cp437": "IBM437", "CP850": "IBM850", "ibm850": "IBM850", "windows-1252": "windows-1252", "shift_jis": "Shift_JIS", "utf-16le": "UTF-16LE",
	} {
		if e, err := lookup(name); err != nil || e.name != want {
			t.Errorf("%s: got %s, %v", name, e.name, err)
		}
	}
	if _, err := lookup("marshian"); err == nil {
		t.Error("an unknown name was taken")
	}
}

// TestMarkAgainstSettings names one encoding for a file that begins with the
// mark of another.
func TestMarkAgainstSettings(t *testing.T) {
	s, found, err := ReadText("t.csv", strings.NewReader("\xef\xbb\xbfTag,Site\nA1,Montréal\n"), Options{Encoding: "windows-1252"})
	must(t, err)
	if got := texts(s); got[1] != "2:A1|Montréal" || len(found) != 1 || found[0].Rule != ruleEncoding || found[0].Level != record.Warning {
		t.Errorf("got %v, %v", got, found)
	}
}

// Letters of several bytes mean something in several encodings.
func TestEastAsian(t *testing.T) {
	for name, text := range map[string]string{
		"GB18030":   "表3 峨眉髭蟾 形态量度\n标本号,性别,采集地,采集日期,头体长,体重,备注\n2010,雄,沟口,2010年3月2日,71.2,38.1,婚刺明显\n2011,雌,溪源,2010年3月3日,60.4,未称重,\n",
		"Big5":      "編號,日期,地點,性別,體長,體重,備註\n1,2019年5月3日,水池,雄,45.2,12.1,尾部受損\n2,2019年5月3日,溪流,雌,47.0,13.0,懷卵\n",
		"EUC-KR":    "번호,날짜,장소,성별,체장,체중,비고\n1,2019년 5월 3일,연못,수컷,45.2,12.1,꼬리 손상\n2,2019년 5월 4일,계곡,암컷,47.0,13.0,재포획\n",
		"Shift_JIS": "個体番号,採集日,採集地,性別,全長,体重,備考\n1,2016年3月12日,沢の上流,オス,120,7.1,尾の先端が欠けている\n2,2016年3月12日,沢の上流,メス,121,7.4,\n",
	} {
		e, err := lookup(name)
		if err != nil {
			t.Fatal(err)
		}
		b, err := e.other.NewEncoder().Bytes([]byte(text))
		if g := detect(nil, b); err != nil || g.found.name != name {
			t.Errorf("%s is read as %s, %v", name, g.found.name, err)
		}
	}
}

func TestMultiByte(t *testing.T) {
	iconv := need.Tool(t, "iconv")
	text := "番号,場所,備考\n1,池,蛙の雄を見つけた\n2,川,大きな雌がいた\n3,沼,ひきがえるの鳴き声\n"
	for _, enc := range []string{"SHIFT_JIS", "EUC-JP"} {
		s, _, err := ReadText("t.csv", bytes.NewReader(convert(t, iconv, enc, text)), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got := s.Rows[1].Cells[2].Text; got != "蛙の雄を見つけた" {
			t.Errorf("%s: got %q", enc, got)
		}
	}
	_, _, err := ReadText("t.csv", strings.NewReader("a,b\nc,d\xff\xff\n"), Options{Encoding: "Shift_JIS"})
	if e, ok := err.(*Error); !ok || e.Row != 2 || e.Column != 2 {
		t.Errorf("got %v", err)
	}
}

// A single letter decides between code pages where one of the readings has a
// letter that few languages use.
func TestEncodingOfOneLetter(t *testing.T) {
	for _, text := range []string{"No,Site\n1,Étang\n2,Otter\n", "No;Sitio\n1;PEÑA\n2;Rio\n", "Nr,Sted\n1,BJØRN\n", "N;Local\n1;LANÇA\n", "N,Pais\n1,España\n"} {
		b, err := charmap.Windows1252.NewEncoder().Bytes([]byte(text))
		if g := detect(nil, b); err != nil || g.found.name != "windows-1252" {
			t.Errorf("%q is read as %s, %v", text, g.found.name, err)
		}
	}
	b, err := charmap.CodePage850.NewEncoder().Bytes([]byte("No,Site\n1,Étang\n2,Otter\n"))
	if g := detect(nil, b); err != nil || g.found.name != "IBM850" {
		t.Errorf("read as %s, %v", g.found.name, err)
	}
}
