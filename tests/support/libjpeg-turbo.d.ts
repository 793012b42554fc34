/** The part of libjpeg-turbo's build for JavaScript that the tests' cameras call; the package carries no types of its own. */
declare module '@cornerstonejs/codec-libjpeg-turbo-8bit/wasmjs' {
  /** Each hands out views of its own memory, which are void as soon as it takes more. */
  export interface JPEGEncoder {
    /** Where the pixels go that are to be coded, R, G, B. */
    getDecodedBuffer(of: {
      readonly width: number;
      readonly height: number;
      readonly bitsPerSample: 8;
      readonly componentCount: 3;
      readonly isSigned: false;
    }): Uint8Array;
    setQuality(quality: number): void;
    /** 0 is 4:4:4: colours as fine as lightness. */
    setSubSampling(kind: 0): void;
    /** In several scans, each finer than the one before; so if nothing is said. */
    setProgressive(isProgressive: boolean): void;
    encode(): void;
    getEncodedBuffer(): Uint8Array;
  }
  export interface JPEGDecoder {
    /** Where a file of so many bytes goes that is to be decoded. */
    getEncodedBuffer(bytes: number): Uint8Array;
    decode(): void;
    /** R, G, B. */
    getDecodedBuffer(): Uint8Array;
  }
  interface Codec {
    readonly JPEGEncoder: new () => JPEGEncoder;
    readonly JPEGDecoder: new () => JPEGDecoder;
  }
  export default function load(): Promise<Codec>;
}
