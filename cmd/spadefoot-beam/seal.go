package main

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/rand"
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"

	"github.com/klauspost/compress/zstd"

	"spadefoot/pipeline"
	"spadefoot/pipeline/record"
)

// A block between two steps is a head that is open and a body, which is compressed.
// Of a survey with sensitive taxa the body is sealed (AES-256 in Galois/Counter
// Mode, NIST SP 800-38D, with a random nonce of 96 bits before it): until all
// captures are judged nobody knows which places are withheld, and what goes between
// steps is put on disks that others read.
//
// The runner carries small bodies only. Others stand in files of the folder that
// all machines share (put.go), and their names go through the runner.

// pieceHead is the open head of a piece: what puts it into its place.
type pieceHead struct{ Sheet, Attempt, Number, Captures int32 }

var errBlock = errors.New("a block between two steps is damaged")

func (j *job) packPiece(p pipeline.Piece) ([]byte, error) {
	head, _ := binary.Append(nil, binary.BigEndian, pieceHead{int32(p.Sheet), int32(p.Attempt), int32(p.Number), int32(p.Captures)})
	return j.sealed(head, p.Data)
}

func openPiece(block []byte) (head pieceHead, body []byte, err error) {
	n, err := binary.Decode(block, binary.BigEndian, &head)
	if err != nil {
		return head, nil, errBlock
	}
	return head, block[n:], nil
}

func (j *job) unpackPiece(block []byte) (pipeline.Piece, error) {
	head, body, err := openPiece(block)
	if err != nil {
		return pipeline.Piece{}, err
	}
	data, err := j.unseal(body)
	return pipeline.Piece{Sheet: int(head.Sheet), Attempt: int(head.Attempt), Number: int(head.Number), Captures: int(head.Captures), Data: data}, err
}

func (j *job) packPart(p pipeline.Part) ([]byte, error) {
	head, _ := binary.Append(nil, binary.BigEndian, [2]int32{int32(p.Number), int32(p.Shard)})
	return j.sealed(head, p.Data)
}

func (j *job) unpackPart(block []byte) (p pipeline.Part, err error) {
	var head [2]int32
	n, err := binary.Decode(block, binary.BigEndian, &head)
	if err != nil {
		return p, errBlock
	}
	p.Number, p.Shard = int(head[0]), int(head[1])
	p.Data, err = j.unseal(block[n:])
	return p, err
}

// partNumber is the number of a part that is packed.
func partNumber(block []byte) int32 { return int32(binary.BigEndian.Uint32(block)) }

func (j *job) sealed(head, body []byte) ([]byte, error) {
	body, err := j.seal(body)
	return append(head, body...), err
}

// seal makes a body.
func (j *job) seal(text []byte) ([]byte, error) {
	body := squeezer().EncodeAll(text, nil)
	if j.Sealed {
		c, err := j.cipher()
		if err != nil {
			return nil, err
		}
		nonce := make([]byte, c.NonceSize())
		rand.Read(nonce)
		body = c.Seal(nonce, nonce, body, nil)
	}
	return j.put(body)
}

func (j *job) unseal(body []byte) ([]byte, error) {
	body, err := j.fetched(body)
	if err != nil {
		return nil, err
	}
	if j.Sealed {
		c, err := j.cipher()
		if err != nil {
			return nil, err
		}
		if len(body) < c.NonceSize() {
			return nil, errBlock
		}
		if body, err = c.Open(nil, body[:c.NonceSize()], body[c.NonceSize():], nil); err != nil {
			return nil, fmt.Errorf("%w, or it was sealed with another key", errBlock)
		}
	}
	text, err := expander().DecodeAll(body, nil)
	if err != nil {
		return nil, errBlock
	}
	return text, nil
}

// opens unseals a body when it is asked for.
func (j *job) opens(body []byte) func() ([]byte, error) {
	return func() ([]byte, error) { return j.unseal(body) }
}

var (
	squeezer = sync.OnceValue(func() *zstd.Encoder {
		e, _ := zstd.NewWriter(nil, zstd.WithEncoderLevel(zstd.SpeedFastest), zstd.WithEncoderCRC(true)) // fails on other options only
		return e
	})
	expander = sync.OnceValue(func() *zstd.Decoder {
		d, _ := zstd.NewReader(nil, zstd.WithDecoderConcurrency(0))
		return d
	})
)

const keySize = 32

// ownKey is the key where all workers are this process.
var ownKey = sync.OnceValue(func() []byte {
	key := make([]byte, keySize)
	rand.Read(key)
	return key
})

func (j *job) key() ([]byte, error) {
	if j.KeyFile == "" {
		return ownKey(), nil
	}
	key, err := os.ReadFile(j.KeyFile)
	if err == nil && len(key) != keySize {
		err = fmt.Errorf("%s has %s; a key has %d", j.KeyFile, record.Plural(len(key), "byte"), keySize)
	}
	return key, err
}

// ciphers are those of the keys that this process has read, by their files.
var ciphers sync.Map

func (j *job) cipher() (cipher.AEAD, error) {
	if made, ok := ciphers.Load(j.KeyFile); ok {
		return made.(cipher.AEAD), nil
	}
	key, err := j.key()
	if err != nil {
		return nil, err
	}
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	made, err := cipher.NewGCM(block)
	if err == nil {
		ciphers.Store(j.KeyFile, made)
	}
	return made, err
}

// secure seals what goes between the steps. Workers that are other processes
// need a key file.
func (j *job) secure(environment, endpoint string) error {
	within := strings.EqualFold(environment, "loopback") || environment == "" && endpoint == ""
	if !within && j.KeyFile == "" {
		return &pipeline.CallError{Reason: "the survey has sensitive taxa and its workers are separate processes, so what goes between them must be encrypted; make a key with head -c 32 /dev/urandom > FILE, and give it with --key-file FILE"}
	}
	j.Sealed = true
	if _, err := j.key(); err != nil {
		return &pipeline.CallError{Reason: "--key-file: " + err.Error()}
	}
	return nil
}
