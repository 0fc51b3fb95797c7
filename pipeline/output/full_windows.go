package output

import "golang.org/x/sys/windows"

var fullCauses = map[error]string{
	windows.ERROR_DISK_FULL:           diskIsFull,
	windows.ERROR_HANDLE_DISK_FULL:    diskIsFull,
	windows.ERROR_DISK_QUOTA_EXCEEDED: "this user's disk quota is used up",
	windows.ERROR_FILE_TOO_LARGE:      "the file would be larger than the disk's file system allows",
}
