using Microsoft.Win32.SafeHandles;

namespace Recipes.Jail;

/// <summary>A part of sealed memory, handed on to another process as it is.</summary>
/// <param name="Memory">The memory, sealed.</param>
/// <param name="Start">Where the part begins.</param>
/// <param name="End">Where it ends.</param>
public sealed record SealedPart(SharedMemory Memory, long Start, long End);

/// <summary>
/// Memory that processes share: a file without a name, sealed so that no side can resize it under another.
/// </summary>
/// <remarks>memfd_create(2), fcntl(2) "File Sealing".</remarks>
public sealed unsafe class SharedMemory : IDisposable
{
    private readonly SafeFileHandle file;

    private SharedMemory(int descriptor, long length)
    {
        file = new SafeFileHandle(descriptor, ownsHandle: true);
        Length = length;
    }

    /// <summary>Its length in bytes.</summary>
    public long Length { get; }

    /// <summary>How many bytes of it are there: pages that somebody touched, whoever has them mapped.</summary>
    public long Held
    {
        get
        {
            // struct stat of asm/stat.h: on both processors the blocks of 512 bytes stand at 64.
            long* status = stackalloc long[32];
            return Libc.FileStatus(Descriptor, status) == 0 ? 512 * status[8] : 0;
        }
    }

    internal int Descriptor => (int)file.DangerousGetHandle();

    /// <summary>Memory for somebody else's answer: zeros, of fixed length. Only touched pages take memory.</summary>
    public static SharedMemory ForAnswer(long length)
    {
        int descriptor = Create();
        var memory = new SharedMemory(descriptor, length);
        if (Libc.Truncate(descriptor, (nint)length) != 0 || Libc.Control(descriptor, Libc.AddSeals, Libc.SealShrink | Libc.SealGrow) != 0)
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

            _ = Libc.Checked(Libc.Control(descriptor, Libc.AddSeals, Libc.SealSeal | Libc.SealShrink | Libc.SealGrow | Libc.SealWrite),
                "sealing shared memory");
            return new SharedMemory(descriptor, whole.Length);
        }
        catch
        {
            _ = Libc.Close(descriptor);
            throw;
        }
    }

    /// <summary>Seals it, so that nobody can change it any more; false where somebody still has it mapped to write.</summary>
    public bool TrySeal() => Libc.Control(Descriptor, Libc.AddSeals, Libc.SealSeal | Libc.SealWrite) == 0;

    /// <summary>Reads its first bytes. It must be sealed: until then the other side could change what was read.</summary>
    public T Read<T>(long length, Func<Stream, T> read)
    {
        ArgumentNullException.ThrowIfNull(read);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(length);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(length, Length);
        using var memory = MappedMemory.ForReading(Descriptor, length);
        return read(memory.Stream);
    }

    /// <inheritdoc/>
    public void Dispose() => file.Dispose();

    // Not executable where the kernel knows that seal (Linux 6.3); older ones refuse the flag.
    private static int Create()
    {
        int descriptor = Libc.MemoryFile("recipes", Libc.MemfdCloseOnExec | Libc.MemfdAllowSealing | Libc.MemfdNoExecSeal);
        return descriptor >= 0 ? descriptor : Libc.Checked(Libc.MemoryFile("recipes", Libc.MemfdCloseOnExec | Libc.MemfdAllowSealing), "memfd_create");
    }
}
