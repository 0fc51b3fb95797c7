package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// A desk prints its address, answers there until it is interrupted, and lets no
// second one open over the same folder.
func TestDesk(t *testing.T) {
	folder := t.TempDir()
	if err := os.CopyFS(folder, os.DirFS("../../testdata/demo")); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	read, write := io.Pipe()
	var stderr bytes.Buffer
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"desk", folder, "--no-browser"}, write, &stderr)
		write.Close()
	}()
	line, err := bufio.NewReader(read).ReadString('\n')
	if err != nil {
		t.Fatalf("no address: %v %s", err, stderr.String())
	}
	address := strings.TrimSpace(line)
	if !strings.HasPrefix(address, "http://127.0.0.1:") || !strings.Contains(address, "/?secret=") {
		t.Fatalf("the address is %q", address)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	client := &http.Client{Jar: jar, Timeout: time.Minute}
	var answer *http.Response
	var body []byte
	for until := time.Now().Add(time.Minute); ; time.Sleep(50 * time.Millisecond) {
		if answer, err = client.Get(address); err != nil {
			t.Fatal(err)
		}
		body, _ = io.ReadAll(answer.Body)
		answer.Body.Close()
		if !strings.Contains(string(body), "The survey is being read") || time.Now().After(until) {
			break
		}
	}
	if answer.StatusCode != http.StatusOK || !strings.Contains(string(body), "Anurans of Marrow Creek") {
		t.Errorf("status %d\n%s", answer.StatusCode, body)
	}
	var second bytes.Buffer
	if code := run(ctx, []string{"desk", folder, "--no-browser"}, io.Discard, &second); code != exitCall || !strings.Contains(second.String(), "another desk") {
		t.Errorf("the second one: exit code %d, %s", code, second.String())
	}
	client.CloseIdleConnections()
	stop()
	select {
	case code := <-ended:
		if code != exitClean {
			t.Errorf("exit code %d: %s", code, stderr.String())
		}
	case <-time.After(time.Minute):
		t.Fatal("it does not end")
	}
}

// The browser is opened at the address that is printed, unless somebody says no; a
// desk for other machines says what that means.
func TestDeskOpensTheBrowserAndWarns(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("the program that opens an address is a stand-in for Linux")
	}
	folder, bin := t.TempDir(), t.TempDir()
	if err := os.CopyFS(folder, os.DirFS("../../testdata/demo")); err != nil {
		t.Fatal(err)
	}
	opened := filepath.Join(bin, "opened")
	if err := os.WriteFile(filepath.Join(bin, "xdg-open"), []byte("#!/bin/sh\nprintf %s \"$1\" >"+opened+".part && mv "+opened+".part "+opened+"\n"), 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", bin+":"+os.Getenv("PATH"))
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	read, write := io.Pipe()
	var stderr bytes.Buffer
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"desk", folder, "--listen", "127.0.0.1:0"}, write, &stderr)
		write.Close()
	}()
	lines := bufio.NewReader(read)
	line, err := lines.ReadString('\n')
	if err != nil {
		t.Fatalf("no address: %v %s", err, stderr.String())
	}
	go func() { _, _ = io.Copy(io.Discard, lines) }()
	for until := time.Now().Add(time.Minute); ; time.Sleep(20 * time.Millisecond) {
		if text, err := os.ReadFile(opened); err == nil {
			if string(text) != strings.TrimSpace(line) {
				t.Errorf("opened %q, printed %q", text, line)
			}
			break
		}
		if time.Now().After(until) {
			t.Fatal("no browser was opened")
		}
	}
	stop()
	select {
	case <-ended:
	case <-time.After(time.Minute):
		t.Fatal("it does not end")
	}
	if said := stderr.String(); !strings.Contains(said, "including sensitive places") || !strings.Contains(said, "not encrypted") {
		t.Errorf("the warning: %q", said)
	}
}

func TestNamesOfAListener(t *testing.T) {
	for _, c := range []struct {
		ip   string
		want []string
	}{
		{"127.0.0.1", []string{"127.0.0.1:80", "localhost:80"}},
		{"192.0.2.7", []string{"192.0.2.7:80"}},
		{"::1", []string{"[::1]:80", "localhost:80"}},
	} {
		if got := hostsOf(&net.TCPAddr{IP: net.ParseIP(c.ip), Port: 80}); strings.Join(got, " ") != strings.Join(c.want, " ") {
			t.Errorf("%s: %v", c.ip, got)
		}
	}
	all := hostsOf(&net.TCPAddr{IP: net.IPv4zero, Port: 80})
	if all[0] != "127.0.0.1:80" || all[len(all)-1] != "localhost:80" {
		t.Errorf("all of the machine's: %v", all)
	}
}
