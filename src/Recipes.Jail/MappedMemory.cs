namespace Recipes.Jail;

/// <summary>Shared memory that is mapped into this process; where nobody disposes of it, until the process ends.</summary>
internal sealed unsafe class MappedMemory : IDisposable
{
    private readonly nuint length;
    private byte* start;

    private MappedMemory(byte* start, nuint length, Stream stream)
    {
        this.start = start;
        this.length = length;
        Stream = stream;
    }

    /// <summary>Reads or writes it; writing past its end is a <see cref="NotSupportedException"/>.</summary>
    public Stream Stream { get; }

    /// <summary>Maps memory to read; nobody may resize it, which its seals ensure.</summary>
    public static MappedMemory ForReading(int descriptor, long length)
    {
        byte* start = Map(descriptor, length, Libc.ProtRead, Libc.MapPrivate);
        return new(start, (nuint)length, new UnmanagedMemoryStream(start, length));
    }

    /// <summary>Maps memory to write from its start on.</summary>
    public static MappedMemory ForWriting(int descriptor, long capacity)
    {
        byte* start = Map(descriptor, capacity, Libc.ProtRead | Libc.ProtWrite, Libc.MapShared);
        return new(start, (nuint)capacity, new UnmanagedMemoryStream(start, capacity, capacity, FileAccess.Write));
    }

    public void Dispose()
    {
        Stream.Dispose();
        if (start is not null)
        {
            _ = Libc.Unmap(start, length);
            start = null;
        }
    }

    private static byte* Map(int descriptor, long length, int protection, int flags)
    {
        void* address = Libc.Map(null, (nuint)length, protection, flags, descriptor, 0);
        return (nint)address == -1 ? throw Libc.Failed("mapping shared memory") : (byte*)address;
    }
}
