using System.Text;

namespace Recipes.Hosting;

/// <summary>
/// Keeps other programs from reading and writing a file anew while this one does. The lock is a file <c>.NAME.lock</c> beside it, gone at the end.
/// It is created exclusively, which shares do in one step even where they pass no locks on, and locked by the system, which lets go where a program
/// dies. What a crash left is taken away: at once where the system's lock can tell that nobody holds it, after a time where it can't.
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
            try
            {
                var stream = new FileStream(lockFile, FileMode.CreateNew, FileAccess.ReadWrite, FileShare.None, 1, FileOptions.DeleteOnClose);
                hold = stream;
                stream.Write(Encoding.UTF8.GetBytes(Environment.MachineName));
                stream.Flush();
                return true;
            }
            catch (IOException e) when (hold is null && IsThere(e))
            {
                if (again || !TakenAway(lockFile))
                {
                    return false;
                }
            }
            catch (IOException e) when (Journal.IsInUse(e))
            {
                hold?.Dispose();
                return false;
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                hold?.Dispose();
                hold = null;
                return true;
            }
        }
    }

    // Renamed first and looked at again, since another may have taken it away meanwhile and hold a new one.
    private static bool TakenAway(string lockFile)
    {
        string aside = $"{lockFile}.{Guid.NewGuid():N}";
        try
        {
            if (!WasLeft(lockFile))
            {
                return false;
            }

            File.Move(lockFile, aside);
            if (WasLeft(aside))
            {
                File.Delete(aside);
                return true;
            }

            File.Move(aside, lockFile);
            return false;
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
        byte[] owner = new byte[LongestOwner];
        try
        {
            // To read only: it may be another user's.
            using var stream = new FileStream(lockFile, FileMode.Open, FileAccess.Read, FileShare.None, 1);
            int length = stream.ReadAtLeast(owner, owner.Length, throwOnEndOfStream: false);
            if (Encoding.UTF8.GetString(owner, 0, length) == Environment.MachineName)
            {
                return true;
            }
        }
        catch (IOException e) when (Journal.IsInUse(e))
        {
            return false;
        }

        // By the clock of the drive alone: that of another machine may go wrong.
        string now = $"{lockFile}.{Guid.NewGuid():N}";
        using (new FileStream(now, FileMode.CreateNew, FileAccess.Write, FileShare.None, 1, FileOptions.DeleteOnClose))
        {
            return File.GetLastWriteTimeUtc(now) - File.GetLastWriteTimeUtc(lockFile) > Longest;
        }
    }

    // EEXIST of Unix, and ERROR_FILE_EXISTS of Windows.
    private static bool IsThere(IOException e) => e.HResult is 17 or unchecked((int)0x80070050);
}
