using System.Text;

namespace Recipes.Files;

/// <summary>
/// Keeps other programs from reading and writing a file anew while this one does. The lock is a file <c>.NAME.lock</c> beside it, gone at the end.
/// It is created exclusively, which shares do in one step even where they pass no locks on, and locked by the system, which lets go where a program
/// dies. What a crash left is taken away: at once where the system's lock can tell that nobody holds it, after a time where it can't. It names
/// its machine as long as it is held: empty, it is just being made or given up, and nobody's business but its maker's.
/// </summary>
public static class HeldFile
{
    /// <summary>A lock of another machine that is older was left by a crash: a file is held for moments.</summary>
    public static readonly TimeSpan Longest = TimeSpan.FromMinutes(10);

    private const int LongestOwner = 300;

    /// <summary>Holds a file.</summary>
    /// <param name="path">The file; it need not exist.</param>
    /// <param name="hold">What lets go; null where the folder can't hold a lock, and writing the file will tell.</param>
    /// <returns>False where another program holds it.</returns>
    public static bool TryHold(string path, out IDisposable? hold)
    {
        path = Path.GetFullPath(path);
        string lockFile = Path.Combine(Path.GetDirectoryName(path)!, $".{Path.GetFileName(path)}.lock");
        hold = null;
        for (bool again = false; ; again = true)
        {
            FileStream? stream = null;
            try
            {
                stream = new FileStream(lockFile, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.None, 1, FileOptions.DeleteOnClose);
                stream.Write(Encoding.UTF8.GetBytes(Environment.MachineName));
                stream.Flush();
                hold = new Hold(stream);
                return true;
            }
            catch (IOException e) when (stream is null && IsThere(e))
            {
                if (again || !TakenAway(lockFile))
                {
                    return false;
                }
            }
            catch (IOException e) when (stream is null && IsInUse(e) && !OperatingSystem.IsWindows())
            {
                // Created, but somebody who looked at it had the system's lock at that moment, so that it is nobody's and wouldn't go by itself.
                File.Delete(lockFile);
            }
            catch (IOException e) when (IsInUse(e))
            {
                stream?.Dispose();
                return false;
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                stream?.Dispose();
                return true;
            }
        }
    }

    // Emptied before its name goes: whoever opened it meanwhile must not take it for one that a crash left.
    private sealed class Hold(FileStream stream) : IDisposable
    {
        public void Dispose()
        {
            try
            {
                stream.SetLength(0);
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException or ObjectDisposedException)
            {
                // Its name goes all the same.
            }

            stream.Dispose();
        }
    }

    // Whoever takes it away holds it meanwhile like any other file, and looks again: what an earlier look found may be gone by now, and the
    // name that of a lock that is held. Nothing is renamed or deleted before that is sure, since a name that is free for a moment is taken.
    private static bool TakenAway(string lockFile)
    {
        try
        {
            if (!WasLeft(lockFile) || !TryHold(lockFile, out var taking) || taking is null)
            {
                return false;
            }

            using (taking)
            {
                bool left = WasLeft(lockFile);
                if (left)
                {
                    File.Delete(lockFile);
                }

                return left;
            }
        }
        catch (FileNotFoundException)
        {
            return true;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return false;
        }
    }

    private static bool WasLeft(string lockFile)
    {
        var look = new FileInfo(lockFile);
        // To look closer takes the system's lock, which whoever is just making it is about to ask for.
        if (look.Length == 0 && !IsOld(look.LastWriteTimeUtc))
        {
            return false;
        }

        byte[] owner = new byte[LongestOwner];
        try
        {
            using var stream = OpenAlone();
            int length = stream.ReadAtLeast(owner, owner.Length, throwOnEndOfStream: false);
            return Encoding.UTF8.GetString(owner, 0, length) == Environment.MachineName || IsOld(File.GetLastWriteTimeUtc(stream.SafeFileHandle));
        }
        catch (IOException e) when (IsInUse(e))
        {
            return false;
        }

        // Network drives lock alone only what is open to write (flock(2) of Linux); to read only where it is another user's.
        FileStream OpenAlone()
        {
            try
            {
                return new FileStream(lockFile, FileMode.Open, FileAccess.ReadWrite, FileShare.None, 1);
            }
            catch (UnauthorizedAccessException)
            {
                return new FileStream(lockFile, FileMode.Open, FileAccess.Read, FileShare.None, 1);
            }
        }

        // By the clock of the drive alone: that of another machine may go wrong.
        bool IsOld(DateTime written)
        {
            string now = $"{lockFile}.{Guid.NewGuid():N}";
            using (new FileStream(now, FileMode.CreateNew, FileAccess.Write, FileShare.None, 1, FileOptions.DeleteOnClose))
            {
                return File.GetLastWriteTimeUtc(now) - written > Longest;
            }
        }
    }

    // EEXIST of Unix, and ERROR_FILE_EXISTS of Windows.
    private static bool IsThere(IOException e) => e.HResult is 17 or unchecked((int)0x80070050);

    /// <summary>That another program has the file open: EAGAIN of Linux and of macOS, and ERROR_SHARING_VIOLATION of Windows.</summary>
    public static bool IsInUse(IOException e) => e.HResult is 11 or 35 or unchecked((int)0x80070020);
}
