using System.Buffers;
using System.Buffers.Binary;

namespace Recipes.Protocol;

/// <summary>A frame that breaks the rules: too long, cut short, or of the wrong kind.</summary>
public sealed class FrameException(string message) : Exception(message);

/// <summary>
/// The unit that crosses a process boundary: 4 bytes of kind, 8 bytes of length (both little-endian), then the bytes. The
/// reader states the kind and the longest length it accepts before it allocates anything.
/// </summary>
public static class Frame
{
    /// <summary>A message, field by field: <see cref="IMessage{TSelf}"/>.</summary>
    public const int Message = 0x4753534D;

    /// <summary>Raw bytes: a file, an assembly.</summary>
    public const int Bytes = 0x53455942;

    /// <summary>An <see cref="Recipes.Imaging.ArtworkPatch"/>.</summary>
    public const int Patch = 0x48435450;

    /// <summary>A coverage plane.</summary>
    public const int Coverage = 0x52564F43;

    private const int HeaderLength = 12;

    /// <summary>Writes one frame.</summary>
    public static void Write(Stream stream, int kind, ReadOnlySpan<byte> bytes)
    {
        ArgumentNullException.ThrowIfNull(stream);
        WriteHeader(stream, kind, bytes.Length);
        stream.Write(bytes);
    }

    /// <summary>Writes a header; the caller writes exactly that many bytes after it.</summary>
    public static void WriteHeader(Stream stream, int kind, long length)
    {
        ArgumentNullException.ThrowIfNull(stream);
        Span<byte> header = stackalloc byte[HeaderLength];
        BinaryPrimitives.WriteInt32LittleEndian(header, kind);
        BinaryPrimitives.WriteInt64LittleEndian(header[4..], length);
        stream.Write(header);
    }

    /// <summary>Reads one frame of the stated kind.</summary>
    /// <exception cref="FrameException">Another kind, a longer frame, or the stream ends early.</exception>
    public static byte[] Read(Stream stream, int kind, long longest)
    {
        long length = ReadHeader(stream, kind, longest);
        var bytes = new byte[length];
        ReadExactly(stream, bytes);
        return bytes;
    }

    /// <summary>Reads one frame as <see cref="Read"/> does, and in mapped memory where it lies:
    /// that memory must stay as it is until the process ends.</summary>
    /// <inheritdoc cref="Read"/>
    public static unsafe ReadOnlyMemory<byte> ReadInPlace(Stream stream, int kind, long longest)
    {
        if (stream is not UnmanagedMemoryStream memory)
        {
            return Read(stream, kind, longest);
        }

        long length = ReadHeader(stream, kind, Math.Min(longest, int.MaxValue));
        if (length > memory.Length - memory.Position)
        {
            throw new FrameException("The stream ended in the middle of a frame.");
        }

        var bytes = new MappedBytes(memory.PositionPointer, (int)length).Memory;
        memory.Position += length;
        return bytes;
    }

    /// <summary>Reads a header of the stated kind and returns the length that follows.</summary>
    /// <exception cref="FrameException">Another kind, a longer frame, or the stream ends early.</exception>
    public static long ReadHeader(Stream stream, int kind, long longest)
    {
        Span<byte> header = stackalloc byte[HeaderLength];
        ReadExactly(stream, header);
        int found = BinaryPrimitives.ReadInt32LittleEndian(header);
        long length = BinaryPrimitives.ReadInt64LittleEndian(header[4..]);
        if (found != kind)
        {
            throw new FrameException($"A frame of kind {found:x8} came where {kind:x8} was due.");
        }

        if (length < 0 || length > longest)
        {
            throw new FrameException($"A frame of {length} bytes came where at most {longest} are taken.");
        }

        return length;
    }

    internal static void ReadExactly(Stream stream, Span<byte> target)
    {
        ArgumentNullException.ThrowIfNull(stream);
        try
        {
            stream.ReadExactly(target);
        }
        catch (EndOfStreamException)
        {
            throw new FrameException("The stream ended in the middle of a frame.");
        }
    }

    // Nothing is pinned or let go: the memory isn't the runtime's.
    private sealed unsafe class MappedBytes(byte* start, int length) : MemoryManager<byte>
    {
        public override Span<byte> GetSpan() => new(start, length);

        public override MemoryHandle Pin(int elementIndex = 0) => new(start + elementIndex);

        public override void Unpin()
        {
        }

        protected override void Dispose(bool disposing)
        {
        }
    }
}
