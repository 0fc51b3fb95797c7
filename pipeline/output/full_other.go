//go:build !windows

package output

import "syscall"

var fullCauses = map[error]string{
	syscall.ENOSPC: diskIsFull,
	syscall.EDQUOT: "the share of the disk that this user may fill is full",
	syscall.EFBIG:  "the file would grow larger than the system allows",
}
