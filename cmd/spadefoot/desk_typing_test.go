//go:build unix

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record/need"
	"spadefoot/pipeline/record/need/browser"
)

// deskAt starts a desk at a port and returns its address with the secret.
func deskAt(t *testing.T, folder string, port int) (*exec.Cmd, string) {
	t.Helper()
	cmd := exec.Command(os.Args[0], "desk", folder, "--no-browser", "--port", strconv.Itoa(port))
	cmd.Env = append(os.Environ(), asProgram+"=1", "TMPDIR="+t.TempDir())
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatalf("the desk gave no address: %v", err)
	}
	return cmd, strings.TrimSpace(line)
}

func freePort(t *testing.T) int {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().(*net.TCPAddr).Port
}

// Thirty captures are typed, two of them with a slip. The desk is killed on the
// way, goes on at the same address, and every row is in the file once: those that
// were shown as kept before and those that the page held meanwhile.
func TestTypingSurvivesAKill(t *testing.T) {
	need.Fullest(t)
	folder := filepath.Join(t.TempDir(), "demo")
	if err := os.CopyFS(folder, os.DirFS("../../testdata/demo")); err != nil {
		t.Fatal(err)
	}
	port := freePort(t)
	program, address := deskAt(t, folder, port)
	t.Cleanup(func() { _ = program.Process.Kill(); _ = program.Wait() })
	own := fmt.Sprintf("http://127.0.0.1:%d", port)
	page := strings.Replace(address, "/?", "/type-in?", 1)
	b := browser.Open(t, page, own, "blob:")
	shows := func(what, script string) {
		t.Helper()
		for until := time.Now().Add(30 * time.Second); time.Now().Before(until); time.Sleep(20 * time.Millisecond) {
			if browser.Says[bool](b, script) {
				return
			}
		}
		t.Fatalf("%s; the page says:\n%s", what, b.Text())
	}
	form := func() { // a page that says that the survey is being read may come before
		t.Helper()
		shows("the form does not come", `!!document.getElementById("capture")`)
	}
	form()
	kept := func(n int) {
		t.Helper()
		shows(fmt.Sprintf("row %d is not kept", n), fmt.Sprintf(`document.getElementById("n").textContent === "%d"`, n))
	}
	file := filepath.Join(folder, "typed", "spring.csv")
	for n := 1; n <= 30; n++ {
		if n == 1 {
			b.Choose("#f1", "2024-06-20")
			b.Type("#f3", "Tern Slough")
			b.Type("#f14", "I. Varga")
		}
		svl := 45 + float64(n%9)
		cells := map[int]string{0: fmt.Sprintf("MC24-%03d", 900+n), 4: "LISY", 5: "F", 6: "adult", 7: fmt.Sprintf("%.1f", svl), 8: fmt.Sprintf("%.1f", svl*0.535),
			12: fmt.Sprintf("%.1f", 4.5+float64(int(svl*svl*svl/9000*2))/2), 13: "4.5"}
		if n == 7 {
			cells[8] = "253" // read wrongly, seen and put right
		}
		if n == 22 {
			cells[7] = "91.0" // and this is kept as it is
		}
		for _, i := range []int{0, 4, 5, 6, 7, 8, 12, 13} {
			b.Type(fmt.Sprintf("#f%d", i), cells[i])
		}
		b.PressAt("#keep")
		asked := `!document.getElementById("anyway").hidden`
		switch {
		case n == 7:
			shows("the slip is not asked about", asked)
			b.Type("#f8", fmt.Sprintf("%.1f", svl*0.535))
			b.PressAt("#keep")
			kept(n)
		case n == 22:
			shows("the slip is not asked about", asked)
			b.PressAt("#anyway")
			kept(n)
		case n == 12:
			kept(n)
			if err := program.Process.Kill(); err != nil {
				t.Fatal(err)
			}
			_ = program.Wait()
		case n == 13, n == 14:
			shows("a row is not held", fmt.Sprintf(`document.getElementById("held").textContent.startsWith("%d row")`, n-12))
			if n == 14 {
				if text, err := os.ReadFile(file); err != nil || bytes.Count(text, []byte("\n")) != 13 {
					t.Fatalf("after the kill the file has %d lines, want 13: %v", bytes.Count(text, []byte("\n")), err)
				}
				program, address = deskAt(t, folder, port)
				b.Go(strings.Replace(address, "/?", "/type-in?", 1))
				form()
				kept(n)
			}
		default:
			shows(fmt.Sprintf("row %d is neither kept nor asked about", n), asked+fmt.Sprintf(` || document.getElementById("n").textContent === "%d"`, n))
			if browser.Says[bool](b, asked) {
				b.PressAt("#anyway") // nature's scatter, which the model may doubt
			}
			kept(n)
		}
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil || len(lines) != 31 {
		t.Fatalf("%d lines, want 31: %v", len(lines), err)
	}
	for n := 1; n <= 30; n++ {
		if want := fmt.Sprintf("MC24-%03d", 900+n); lines[n][0] != want {
			t.Errorf("row %d is %s, want %s", n, lines[n][0], want)
		}
	}
	if !strings.Contains(lines[22][17], "91.0 mm") || lines[7][8] == "253" {
		t.Errorf("the slips: %q, %q", lines[7], lines[22])
	}
	if err := program.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = program.Wait()
	r, err := pipeline.Check(context.Background(), folder, pipeline.Options{})
	if err != nil || r.Counts.Captures != 270 {
		t.Errorf("a check reads %d captures, want 270: %v", r.Counts.Captures, err)
	}
}
