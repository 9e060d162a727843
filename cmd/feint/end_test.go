package main

import (
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// A command that does not heed that it was told to end is ended, with the status and
// the words of one that was stopped.
func TestEndAfter(t *testing.T) {
	if os.Getenv("FEINT_DEAF") != "" {
		go endAfter(time.Millisecond, os.Stderr, os.Exit)
		select {} // deaf to everything
	}
	me, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(me, "-test.run=^TestEndAfter$")
	c.Env = append(os.Environ(), "FEINT_DEAF=1")
	var said strings.Builder
	c.Stderr = &said
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	late := time.AfterFunc(time.Minute, func() { _ = c.Process.Kill() })
	defer late.Stop()
	_ = c.Wait()
	if c.ProcessState.ExitCode() != exitStopped || !strings.Contains(said.String(), "stopped") {
		t.Errorf("status %d, %q", c.ProcessState.ExitCode(), said.String())
	}
}
