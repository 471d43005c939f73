using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace Recipes.Files;

/// <summary>
/// Which file a path leads to, whatever it is called: its device and its inode, by statx(2) of Linux, whose answer is laid out alike on every processor.
/// Other systems give none, and there files are told by their paths alone, whose case they ignore.
/// </summary>
/// <param name="Device">Major and minor number of the device.</param>
/// <param name="Inode">The inode.</param>
internal readonly record struct FileIdentity(ulong Device, ulong Inode)
{
    // From linux/stat.h: the field asked for, the length of the answer, and where the fields lie in it.
    private const uint AskType = 1, AskInode = 0x100;
    private const int AtWorkingFolder = -100, NoFollow = 0x100, Length = 256, ModeAt = 28, InodeAt = 32, DeviceAt = 136;
    private const int TypeMask = 0xF000, OrdinaryFile = 0x8000;

    /// <summary>The file that the path leads to, links followed; null where there is none, or where the system doesn't tell.</summary>
    public static FileIdentity? Of(string path)
    {
        byte[] answer = new byte[Length];
        return OperatingSystem.IsLinux() && Statx(AtWorkingFolder, path, 0, AskInode, answer) == 0
            ? new FileIdentity(
                BinaryPrimitives.ReadUInt64LittleEndian(answer.AsSpan(DeviceAt)), BinaryPrimitives.ReadUInt64LittleEndian(answer.AsSpan(InodeAt))) : null;
    }

    /// <summary>Whether an ordinary file lies there, and no link, pipe or device; null where nothing does.</summary>
    public static bool? IsOrdinary(string path)
    {
        var file = new FileInfo(path);
        if (!OperatingSystem.IsLinux())
        {
            return file.LinkTarget is not null ? false : file.Exists ? true : null;
        }

        byte[] answer = new byte[Length];
        return Statx(AtWorkingFolder, path, NoFollow, AskType, answer) != 0 ? null
            : (BinaryPrimitives.ReadUInt16LittleEndian(answer.AsSpan(ModeAt)) & TypeMask) == OrdinaryFile;
    }

    /// <summary>True where both paths lead to one file.</summary>
    public static bool Same(string a, string b) => Of(a) is { } one && one == Of(b);

    [DllImport("libc", EntryPoint = "statx")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Statx(int folder, [MarshalAs(UnmanagedType.LPUTF8Str)] string path, int flags, uint mask, [Out] byte[] answer);
}
