using System.Runtime.InteropServices;

namespace Recipes.Hosting.Tests.Workers;

/// <summary>Memory as a worker's answer lies in it, with a page behind its end that nobody may touch: a reader that goes on ends the process.</summary>
internal sealed unsafe partial class GuardedMemory : IDisposable
{
    private const int NoAccess = 0, ReadAndWrite = 3, PrivateAndAnonymous = 0x22;
    private readonly byte* start;
    private readonly nuint whole;
    private readonly byte* end;

    public GuardedMemory(int capacity)
    {
        nuint page = (nuint)Environment.SystemPageSize, usable = ((nuint)capacity + page - 1) / page * page;
        whole = usable + page;
        start = Map(null, whole, NoAccess, PrivateAndAnonymous, -1, 0);
        end = start + usable;
        ((nint)start).ShouldNotBe(-1);
        Protect(start, usable, ReadAndWrite).ShouldBe(0);
    }

    /// <summary>The bytes, which end where the memory does; they take the place of earlier ones.</summary>
    public UnmanagedMemoryStream Hold(byte[] bytes)
    {
        ((nuint)bytes.Length).ShouldBeLessThanOrEqualTo((nuint)(end - start));
        bytes.CopyTo(new Span<byte>(end - bytes.Length, bytes.Length));
        return new UnmanagedMemoryStream(end - bytes.Length, bytes.Length);
    }

    public void Dispose() => _ = Unmap(start, whole);

    [LibraryImport("libc", EntryPoint = "mmap")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial byte* Map(void* address, nuint length, int protection, int flags, int descriptor, nint offset);

    [LibraryImport("libc", EntryPoint = "mprotect")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int Protect(void* address, nuint length, int protection);

    [LibraryImport("libc", EntryPoint = "munmap")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int Unmap(void* address, nuint length);
}
