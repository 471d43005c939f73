using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace Recipes.Files;

/// <summary>
/// Opens a file that must be no symbolic link, nor lie behind one below a folder. Linux looks and opens in one step, by openat2(2), so that nobody puts a link
/// there in between; elsewhere, and in a container that forbids the call, it is looked at first.
/// </summary>
internal static class UnlinkedFile
{
    // From asm-generic/unistd.h, fcntl.h and linux/openat2.h; the same on x64 and arm64.
    private const int OpenAt2 = 437, AtWorkingFolder = -100, ReadOnlyCloseOnExecNonBlocking = 0x80000 | 0x800, NoSymbolicLinks = 0x04;
    private const int NotPermitted = 1, NoEntry = 2, AccessDenied = 13, NotImplemented = 38, LinkInTheWay = 40;

    /// <summary>The open file; null of a pipe, a device, or a file without bytes.</summary>
    /// <exception cref="IOException">It is missing, can't be read, or is a link or behind one.</exception>
    /// <exception cref="UnauthorizedAccessException">It may not be read.</exception>
    public static FileStream? Open(string path, string below)
    {
        string full = Path.GetFullPath(path), root = Path.GetFullPath(below), name = Path.GetRelativePath(root, full);
        // Links down to the folder are the user's own.
        string real = Path.Combine(RealPath.Of(root), name);
        var stream = (OperatingSystem.IsLinux() ? AtOnce(real, path) : null) ?? AfterALook(real, name, path);
        if (stream is { CanSeek: true, Length: > 0 })
        {
            return stream;
        }

        stream?.Dispose();
        return null;
    }

    // Null where the kernel doesn't know the call, or isn't asked.
    private static FileStream? AtOnce(string real, string path)
    {
        var how = new OpenHow { Flags = ReadOnlyCloseOnExecNonBlocking, Resolve = NoSymbolicLinks };
        long descriptor = SystemCall(OpenAt2, AtWorkingFolder, real, ref how, Marshal.SizeOf<OpenHow>());
        if (descriptor >= 0)
        {
            return new FileStream(new SafeFileHandle((nint)descriptor, ownsHandle: true), FileAccess.Read, 1);
        }

        int error = Marshal.GetLastPInvokeError();
        return error switch
        {
            NotPermitted or NotImplemented => null,
            LinkInTheWay => throw Link(path),
            NoEntry => throw new FileNotFoundException($"There is no file {path}."),
            AccessDenied => throw new UnauthorizedAccessException($"{path} may not be read."),
            _ => throw new IOException(Marshal.GetPInvokeErrorMessage(error)),
        };
    }

    private static FileStream? AfterALook(string real, string name, string path)
    {
        string at = real[..^name.Length];
        foreach (string part in name.Split(Path.DirectorySeparatorChar))
        {
            at = Path.Combine(at, part);
            if (new FileInfo(at).LinkTarget is not null || new DirectoryInfo(at).LinkTarget is not null)
            {
                throw Link(path);
            }
        }

        // Opening a pipe waits for its other end.
        return new FileInfo(real) is { Exists: true, Length: 0 } ? null : new FileStream(real, FileMode.Open, FileAccess.Read, FileShare.Read);
    }

    private static IOException Link(string path) => new($"{path} is a link, or lies behind one; copy the file instead of linking to it.");

    [StructLayout(LayoutKind.Sequential)]
    private struct OpenHow
    {
        public ulong Flags, Mode, Resolve;
    }

    [DllImport("libc", EntryPoint = "syscall", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern long SystemCall(long number, long folder, [MarshalAs(UnmanagedType.LPUTF8Str)] string path, ref OpenHow how, long size);
}
