//go:build !windows

package pipeline

import "syscall"

var fullCauses = map[error]string{
	syscall.ENOSPC: "the disk is full",
	syscall.EDQUOT: "the share of the disk that this user may fill is full",
	syscall.EFBIG:  "the file would grow larger than the system allows",
}
