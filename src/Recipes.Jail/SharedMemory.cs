namespace Recipes.Jail;

/// <summary>
/// Memory that two processes share: a file without a name, sealed so that neither side can resize it under the other.
/// </summary>
/// <remarks>memfd_create(2), fcntl(2) "File Sealing".</remarks>
public sealed unsafe class SharedMemory : IDisposable
{
    private int descriptor;

    private SharedMemory(int descriptor, long length)
    {
        this.descriptor = descriptor;
        Length = length;
    }

    /// <summary>Its length in bytes.</summary>
    public long Length { get; }

    internal int Descriptor => descriptor;

    /// <summary>Memory for somebody else's answer: zeros, of fixed length. Only touched pages take memory.</summary>
    public static SharedMemory ForAnswer(long length)
    {
        int descriptor = Create();
        var memory = new SharedMemory(descriptor, length);
        if (Libc.Truncate(descriptor, (nint)length) != 0 || Libc.Control(descriptor, Libc.AddSeals, Libc.SealSeal | Libc.SealShrink | Libc.SealGrow) != 0)
        {
            var failure = Libc.Failed("reserving shared memory");
            memory.Dispose();
            throw failure;
        }

        return memory;
    }

    /// <summary>Memory that holds what <paramref name="write"/> wrote, and that nobody can change any more.</summary>
    public static SharedMemory Holding(Action<Stream> write)
    {
        ArgumentNullException.ThrowIfNull(write);
        int descriptor = Create();
        try
        {
            var whole = new DescriptorStream(descriptor);
            using (var stream = new BufferedStream(whole, 1 << 16))
            {
                write(stream);
            }

            _ = Libc.Checked(Libc.Control(descriptor, Libc.AddSeals, Libc.SealSeal | Libc.SealShrink | Libc.SealGrow | Libc.SealWrite), "sealing shared memory");
            return new SharedMemory(descriptor, whole.Length);
        }
        catch
        {
            _ = Libc.Close(descriptor);
            throw;
        }
    }

    /// <summary>Reads its first bytes. The other side must be dead: until then it could change what was read.</summary>
    public T Read<T>(long length, Func<Stream, T> read)
    {
        ArgumentNullException.ThrowIfNull(read);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(length);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(length, Length);
        using var memory = MappedMemory.ForReading(descriptor, length);
        return read(memory.Stream);
    }

    /// <inheritdoc/>
    public void Dispose()
    {
        if (descriptor >= 0)
        {
            _ = Libc.Close(descriptor);
            descriptor = -1;
        }
    }

    // Not executable where the kernel knows that seal (Linux 6.3); older ones refuse the flag.
    private static int Create()
    {
        int descriptor = Libc.MemoryFile("recipes", Libc.MemfdCloseOnExec | Libc.MemfdAllowSealing | Libc.MemfdNoExecSeal);
        return descriptor >= 0 ? descriptor : Libc.Checked(Libc.MemoryFile("recipes", Libc.MemfdCloseOnExec | Libc.MemfdAllowSealing), "memfd_create");
    }
}
