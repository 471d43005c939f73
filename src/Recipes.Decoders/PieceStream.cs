namespace Recipes.Decoders;

/// <summary>Reads pieces of memory one after the other, without joining them.</summary>
internal sealed class PieceStream(IReadOnlyList<ReadOnlyMemory<byte>> pieces) : Stream
{
    private int piece, offset;

    public override bool CanRead => true;

    public override bool CanSeek => false;

    public override bool CanWrite => false;

    public override long Length => throw new NotSupportedException();

    public override long Position
    {
        get => throw new NotSupportedException();
        set => throw new NotSupportedException();
    }

    public override int Read(byte[] buffer, int offset, int count) => Read(buffer.AsSpan(offset, count));

    public override int Read(Span<byte> buffer)
    {
        while (piece < pieces.Count && offset == pieces[piece].Length)
        {
            (piece, offset) = (piece + 1, 0);
        }

        if (piece == pieces.Count)
        {
            return 0;
        }

        int count = Math.Min(buffer.Length, pieces[piece].Length - offset);
        pieces[piece].Span.Slice(offset, count).CopyTo(buffer);
        offset += count;
        return count;
    }

    public override void Flush()
    {
    }

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();

    public override void Write(byte[] buffer, int offset, int count) => throw new NotSupportedException();
}
