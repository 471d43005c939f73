namespace Recipes.Jail;

/// <summary>Writes to an open descriptor and counts; it doesn't own it.</summary>
internal sealed unsafe class DescriptorStream(int descriptor) : Stream
{
    private long written;

    public override bool CanRead => false;

    public override bool CanSeek => false;

    public override bool CanWrite => true;

    public override long Length => written;

    public override long Position { get => written; set => throw new NotSupportedException(); }

    public override void Write(ReadOnlySpan<byte> buffer)
    {
        fixed (byte* start = buffer)
        {
            nint done = 0;
            while (done < buffer.Length)
            {
                done += Libc.Checked(Libc.Write(descriptor, start + done, (nuint)(buffer.Length - done)), "writing to shared memory");
            }
        }

        written += buffer.Length;
    }

    public override void Write(byte[] buffer, int offset, int count) => Write(buffer.AsSpan(offset, count));

    public override void Flush()
    {
    }

    public override int Read(byte[] buffer, int offset, int count) => throw new NotSupportedException();

    public override long Seek(long offset, SeekOrigin origin) => throw new NotSupportedException();

    public override void SetLength(long value) => throw new NotSupportedException();
}
