using System.ComponentModel;
using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary>The C library's calls, as Linux on x64 and arm64 lays out their arguments.</summary>
internal static unsafe partial class Libc
{
    // fcntl.h, sys/mman.h, sys/socket.h, sys/resource.h and their kind, the values of Linux on both processors.
    public const int OpenPath = 0x20_0000, OpenCloseOnExec = 0x8_0000, OpenReadWrite = 2, OpenNonblocking = 0x800;
    public const int ProtRead = 1, ProtWrite = 2, MapShared = 1, MapPrivate = 2;
    public const uint MemfdCloseOnExec = 1, MemfdAllowSealing = 2, MemfdNoExecSeal = 8;
    public const int SetStatusFlags = 4, AddSeals = 1033, DuplicateCloseOnExec = 1030;
    public const int SealSeal = 1, SealShrink = 2, SealGrow = 4, SealWrite = 8;
    public const int AddressUnix = 1, SocketSequencedPackets = 5, SocketCloseOnExec = 0x8_0000, NoSignal = 0x4000, ReceiveCloseOnExec = 0x4000_0000;
    public const int ResourceCpu = 0, ResourceFileSize = 1, ResourceData = 2, ResourceCore = 4, ResourceDescriptors = 7;
    public const int SetParentDeathSignal = 1, SetDumpable = 4, SetNoNewPrivileges = 38;
    public const int SignalIllegal = 4, SignalAbort = 6, SignalKill = 9, SignalSegmentation = 11, SignalCpuTime = 24, SignalBadCall = 31;
    public const short PollIn = 1;
    public const int Interrupted = 4;

    private const string Library = "libc";

    [LibraryImport(Library, EntryPoint = "syscall", SetLastError = true)]
    public static partial nint Call(nint number, nint a = 0, nint b = 0, nint c = 0, nint d = 0);

    [LibraryImport(Library, EntryPoint = "prctl", SetLastError = true)]
    public static partial int Prctl(int option, nuint a = 0, nuint b = 0, nuint c = 0, nuint d = 0);

    [LibraryImport(Library, EntryPoint = "open", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    public static partial int Open(string path, int flags, int mode = 0);

    [LibraryImport(Library, EntryPoint = "close", SetLastError = true)]
    public static partial int Close(int descriptor);

    [LibraryImport(Library, EntryPoint = "read", SetLastError = true)]
    public static partial nint Read(int descriptor, void* target, nuint count);

    [LibraryImport(Library, EntryPoint = "write", SetLastError = true)]
    public static partial nint Write(int descriptor, void* source, nuint count);

    [LibraryImport(Library, EntryPoint = "mmap", SetLastError = true)]
    public static partial void* Map(void* address, nuint length, int protection, int flags, int descriptor, nint offset);

    [LibraryImport(Library, EntryPoint = "munmap", SetLastError = true)]
    public static partial int Unmap(void* address, nuint length);

    [LibraryImport(Library, EntryPoint = "ftruncate", SetLastError = true)]
    public static partial int Truncate(int descriptor, nint length);

    [LibraryImport(Library, EntryPoint = "getxattr", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    public static partial nint Attribute(string path, string name, void* value, nuint size);

    [LibraryImport(Library, EntryPoint = "fstat", SetLastError = true)]
    public static partial int FileStatus(int descriptor, void* status);

    [LibraryImport(Library, EntryPoint = "fcntl", SetLastError = true)]
    public static partial int Control(int descriptor, int command, nint argument);

    [LibraryImport(Library, EntryPoint = "memfd_create", SetLastError = true, StringMarshalling = StringMarshalling.Utf8)]
    public static partial int MemoryFile(string name, uint flags);

    [LibraryImport(Library, EntryPoint = "socketpair", SetLastError = true)]
    public static partial int SocketPair(int domain, int type, int protocol, int* pair);

    [LibraryImport(Library, EntryPoint = "pipe2", SetLastError = true)]
    public static partial int Pipe(int* pair, int flags);

    [LibraryImport(Library, EntryPoint = "sendmsg", SetLastError = true)]
    public static partial nint Send(int descriptor, MessageHeader* message, int flags);

    [LibraryImport(Library, EntryPoint = "recvmsg", SetLastError = true)]
    public static partial nint Receive(int descriptor, MessageHeader* message, int flags);

    [LibraryImport(Library, EntryPoint = "poll", SetLastError = true)]
    public static partial int Poll(PollEntry* entries, nuint count, int milliseconds);

    [LibraryImport(Library, EntryPoint = "kill", SetLastError = true)]
    public static partial int Kill(int process, int signal);

    [LibraryImport(Library, EntryPoint = "waitpid", SetLastError = true)]
    public static partial int Wait(int process, int* status, int options);

    [LibraryImport(Library, EntryPoint = "getppid")]
    public static partial int ParentProcess();

    [LibraryImport(Library, EntryPoint = "setrlimit", SetLastError = true)]
    public static partial int SetLimit(int resource, nuint* softAndHard);

    [LibraryImport(Library, EntryPoint = "posix_spawn_file_actions_init")]
    public static partial int InitFileActions(void* actions);

    [LibraryImport(Library, EntryPoint = "posix_spawn_file_actions_adddup2")]
    public static partial int AddDuplicate(void* actions, int from, int to);

    [LibraryImport(Library, EntryPoint = "posix_spawn_file_actions_addclosefrom_np")]
    public static partial int AddCloseFrom(void* actions, int first);

    [LibraryImport(Library, EntryPoint = "posix_spawn_file_actions_destroy")]
    public static partial int DestroyFileActions(void* actions);

    [LibraryImport(Library, EntryPoint = "posix_spawnattr_init")]
    public static partial int InitAttributes(void* attributes);

    [LibraryImport(Library, EntryPoint = "posix_spawnattr_setflags")]
    public static partial int SetFlags(void* attributes, short flags);

    [LibraryImport(Library, EntryPoint = "posix_spawnattr_setsigmask")]
    public static partial int SetSignalMask(void* attributes, void* signals);

    [LibraryImport(Library, EntryPoint = "posix_spawnattr_setsigdefault")]
    public static partial int SetSignalDefaults(void* attributes, void* signals);

    /// <summary>The value, or an exception that names the call where it failed.</summary>
    public static nint Checked(nint value, string call) => value >= 0 ? value : throw Failed(call);

    /// <inheritdoc cref="Checked(nint, string)"/>
    public static int Checked(int value, string call) => value >= 0 ? value : throw Failed(call);

    /// <summary>What the last failing call left behind.</summary>
    public static JailException Failed(string call)
    {
        int error = Marshal.GetLastPInvokeError();
        return new JailException($"{call} failed: {new Win32Exception(error).Message} ({error})");
    }
}

/// <summary><c>struct pollfd</c>.</summary>
[StructLayout(LayoutKind.Sequential)]
internal struct PollEntry
{
    public int Descriptor;
    public short Wanted, Seen;
}

/// <summary><c>struct iovec</c>.</summary>
[StructLayout(LayoutKind.Sequential)]
internal unsafe struct Piece
{
    public void* Start;
    public nuint Length;
}

/// <summary><c>struct msghdr</c>.</summary>
[StructLayout(LayoutKind.Sequential)]
internal unsafe struct MessageHeader
{
    public void* Name;
    public uint NameLength;
    public Piece* Pieces;
    public nuint PieceCount;
    public void* Control;
    public nuint ControlLength;
    public int Flags;
}

/// <summary>The system refused a step of building or entering the jail.</summary>
public sealed class JailException(string message) : Exception(message);
