using System.Buffers.Binary;
using Recipes.Problems;

namespace Recipes.Decoders;

/// <summary>The chunks of a WebP file and the frame header of its picture, checked.</summary>
/// <remarks>RFC 9649 (WebP container and lossless format), RFC 6386 (VP8 frame header).</remarks>
internal ref struct WebpStructure(Refusal refusal)
{
    private const byte Animation = 0x02;

    private readonly Heading heading = new() { Format = "WebP" };
    private (int Width, int Height)? canvas, frame;
    private bool alpha, lossless;
    private ReadOnlySpan<byte> profile;

    public static Heading Read(ReadOnlySpan<byte> file, Refusal refusal)
    {
        var webp = new WebpStructure(refusal);
        webp.ReadChunks(file);
        webp.Describe();
        return webp.heading;
    }

    private void ReadChunks(ReadOnlySpan<byte> file)
    {
        uint size = BinaryPrimitives.ReadUInt32LittleEndian(file[4..]);
        if (size > file.Length - 8)
        {
            throw refusal.Damaged("it was cut short");
        }

        file = file[..(8 + (int)size)];
        for (int at = 12; file.Length - at >= 8;)
        {
            uint length = BinaryPrimitives.ReadUInt32LittleEndian(file[(at + 4)..]);
            if (length > file.Length - at - 8)
            {
                throw refusal.Damaged("it was cut short inside a chunk");
            }

            Take(file.Slice(at, 4), file.Slice(at + 8, (int)length));
            // Chunks are padded to an even length (RFC 9649, 2.3).
            at = (int)Math.Min(file.Length, at + 8L + length + (length & 1));
        }
    }

    private void Take(ReadOnlySpan<byte> type, ReadOnlySpan<byte> data)
    {
        if (type.SequenceEqual("VP8X"u8))
        {
            canvas = ReadCanvas(data, refusal);
        }
        else if (type.SequenceEqual("ANIM"u8) || type.SequenceEqual("ANMF"u8))
        {
            throw Animated(refusal);
        }
        else if (type.SequenceEqual("VP8 "u8) || type.SequenceEqual("VP8L"u8))
        {
            if (frame is not null)
            {
                throw refusal.Damaged("it holds two pictures");
            }

            lossless = type[3] == 'L';
            frame = lossless ? ReadLossless(data, refusal, out alpha) : ReadLossy(data, refusal);
        }
        else if (type.SequenceEqual("ALPH"u8))
        {
            alpha = true;
        }
        else if (type.SequenceEqual("EXIF"u8))
        {
            heading.TakeExif(data);
        }
        else if (type.SequenceEqual("ICCP"u8))
        {
            profile = data;
            if (data.IsEmpty)
            {
                throw refusal.Foreign("its color profile is damaged");
            }
        }
    }

    private readonly void Describe()
    {
        if (frame is not { } found)
        {
            throw refusal.Damaged("it holds no picture");
        }

        if (canvas is { } outer && outer != found)
        {
            throw refusal.Damaged("its picture doesn't fill its canvas");
        }

        (heading.Width, heading.Height) = found;
        heading.Mode = (lossless ? "8-bit RGB" : "8-bit RGB, lossy") + (alpha ? " + alpha" : "");
        heading.Alpha = alpha ? AlphaKind.Straight : AlphaKind.None;
        if (!profile.IsEmpty)
        {
            heading.TakeProfile(profile, refusal);
        }
    }

    private static (int Width, int Height) ReadCanvas(ReadOnlySpan<byte> data, Refusal refusal)
    {
        if (data.Length < 10)
        {
            throw refusal.Damaged("its header is malformed");
        }

        if ((data[0] & Animation) != 0)
        {
            throw Animated(refusal);
        }

        // 24 bits each, one less than the size.
        int width = 1 + (data[4] | (data[5] << 8) | (data[6] << 16)), height = 1 + (data[7] | (data[8] << 8) | (data[9] << 16));
        refusal.CheckSize(width, height);
        return (width, height);
    }

    private static (int Width, int Height) ReadLossy(ReadOnlySpan<byte> data, Refusal refusal)
    {
        // RFC 6386, 9.1: a frame tag whose bit 0 is 0 for a key frame, a start code, 14 bits of width and of height.
        if (data.Length < 10 || (data[0] & 1) != 0 || !data[3..6].SequenceEqual((ReadOnlySpan<byte>)[0x9D, 0x01, 0x2A]))
        {
            throw refusal.Damaged("its frame header is malformed");
        }

        int firstPartition = (data[0] | (data[1] << 8) | (data[2] << 16)) >> 5;
        if (firstPartition > data.Length - 10)
        {
            throw refusal.Damaged("it was cut short inside its picture");
        }

        int width = BinaryPrimitives.ReadUInt16LittleEndian(data[6..]) & 0x3FFF, height = BinaryPrimitives.ReadUInt16LittleEndian(data[8..]) & 0x3FFF;
        refusal.CheckSize(width, height);
        return (width, height);
    }

    private static (int Width, int Height) ReadLossless(ReadOnlySpan<byte> data, Refusal refusal, out bool alpha)
    {
        // RFC 9649, 3.4: a signature, 14 bits of width and of height (one less each), alpha hint, version 0.
        if (data.Length < 5 || data[0] != 0x2F || data[4] >> 5 != 0)
        {
            throw refusal.Damaged("its frame header is malformed");
        }

        uint bits = BinaryPrimitives.ReadUInt32LittleEndian(data[1..]);
        alpha = (bits & (1 << 28)) != 0;
        int width = 1 + (int)(bits & 0x3FFF), height = 1 + (int)((bits >> 14) & 0x3FFF);
        refusal.CheckSize(width, height);
        return (width, height);
    }

    private static ProblemException Animated(Refusal refusal) =>
        refusal.Unsupported("an animated WebP picture", "Export one frame of it as an 8-bit sRGB PNG file.");
}
