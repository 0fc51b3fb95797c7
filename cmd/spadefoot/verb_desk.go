package main

import (
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"math"
	"net"
	"net/http"
	"os/exec"
	"runtime"
	"strconv"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"spadefoot/pipeline"
	"spadefoot/pipeline/desk"
)

func deskCommand() *cobra.Command {
	var common shared
	var listen string
	var port int
	var noBrowser bool
	cmd := &cobra.Command{
		Use:     "desk FOLDER",
		Short:   "Look, decide, type in and publish in a browser",
		Example: examples("spadefoot desk demo", "spadefoot desk demo --no-browser --port 8080"),
		Long: "Opens local pages for a survey folder, or for a folder of sheets that nobody has\n" +
			"mapped yet. They are served on this machine only, at an address that contains a\n" +
			"secret, until you interrupt the program. Your work is saved in the folder.",
		Args: oneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			l, err := listenAt(listen, port)
			if err != nil {
				return err
			}
			defer l.Close()
			growth.Store(deskGrowth)
			o := common.options(cmd)
			o.Progress = nil
			hosts := hostsOf(l.Addr())
			secret := rand.Text()
			d, err := desk.Open(args[0], desk.Options{Patience: 250 * time.Millisecond, Pipeline: o, Secret: secret, Hosts: hosts,
				Today: func() string { return time.Now().Format(time.DateOnly) }})
			if err != nil {
				return err
			}
			defer d.Close()
			d.Start()
			if listen != "" {
				fmt.Fprintln(cmd.ErrOrStderr(), "spadefoot: this desk answers other machines. Anyone who has the address with the secret can read and change the\n"+
					"spadefoot: survey, including sensitive places, and the traffic is not encrypted. Use it only on your own network.")
			}
			for _, host := range hosts[:shownHosts(hosts, listen)] {
				fmt.Fprintf(cmd.OutOrStdout(), "http://%s/?secret=%s\n", host, secret)
			}
			if !noBrowser {
				openBrowser("http://" + hosts[0] + "/?secret=" + secret)
			}
			return serve(cmd.Context(), l, d)
		},
	}
	cmd.Flags().BoolVar(&noBrowser, "no-browser", false, "print the address without opening a browser")
	cmd.Flags().IntVar(&port, "port", 0, "port on this machine; any free one if 0")
	cmd.Flags().StringVar(&listen, "listen", "", "also answer at this ADDRESS:PORT, for other machines on your network; read help desk first")
	common.add(cmd)
	return cmd
}

// listenAt answers at an address, or at a port of this machine where that is "".
func listenAt(address string, port int) (net.Listener, error) {
	if port < 0 || port > math.MaxUint16 {
		return nil, &pipeline.CallError{Reason: fmt.Sprintf("--port: found %d; it must be a whole number from 0 to %d", port, math.MaxUint16)}
	}
	at := cmp.Or(address, net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
	l, err := net.Listen("tcp", at)
	if err == nil {
		return l, nil
	}
	why := "this machine has no such address; give one of its addresses and a port, such as 192.168.1.20:8080"
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		why = "another program is using it; give another port, or no port for any free one"
	case errors.Is(err, syscall.EACCES):
		why = "you are not allowed to use it; give a port of 1024 or above"
	}
	return nil, &pipeline.CallError{Reason: fmt.Sprintf("the desk cannot be opened at %s: %s", at, why)}
}

// hostsOf are the names that a browser may call a listener by: the address
// itself, or all of the machine's where it listens on every one.
func hostsOf(at net.Addr) []string {
	address := at.(*net.TCPAddr)
	port := strconv.Itoa(address.Port)
	var hosts []string
	add := func(host string) { hosts = append(hosts, net.JoinHostPort(host, port)) }
	switch {
	case address.IP.IsUnspecified():
		add("127.0.0.1")
		all, _ := net.InterfaceAddrs() // none found: this machine can be asked still
		for _, a := range all {
			if n, ok := a.(*net.IPNet); ok && !n.IP.IsLoopback() && !n.IP.IsLinkLocalUnicast() && (n.IP.To4() != nil || address.IP.To4() == nil) {
				add(n.IP.String())
			}
		}
	default:
		add(address.IP.String())
	}
	if address.IP.IsUnspecified() || address.IP.IsLoopback() {
		add("localhost")
	}
	return hosts
}

// shownHosts is how many of the names are printed: one, or with --listen all but
// localhost.
func shownHosts(hosts []string, listen string) int {
	if listen == "" || len(hosts) == 1 {
		return 1
	}
	return len(hosts) - 1
}

// serve answers until ctx ends, and lets what is under way come to its end.
func serve(ctx context.Context, l net.Listener, h http.Handler) error {
	s := &http.Server{Handler: h, ReadHeaderTimeout: 10 * time.Second}
	ended := make(chan error, 1)
	go func() {
		<-ctx.Done()
		end, done := context.WithTimeout(context.Background(), 30*time.Second)
		defer done()
		ended <- s.Shutdown(end)
	}()
	if err := s.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return <-ended
}

// openBrowser asks the system to show an address. Where it cannot, the address
// has been printed.
func openBrowser(address string) {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	cmd := exec.Command(name, args...)
	if cmd.Start() == nil {
		go func() { _ = cmd.Wait() }() // how the browser ends does not concern the desk
	}
}
