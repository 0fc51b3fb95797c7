//go:build !windows

package output

import "syscall"

var fullCauses = map[error]string{
	syscall.ENOSPC: diskIsFull,
	syscall.EDQUOT: "this user's disk quota is used up",
	syscall.EFBIG:  "the file would be larger than the system allows",
}
