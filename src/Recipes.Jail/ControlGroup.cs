using System.Globalization;

namespace Recipes.Jail;

/// <summary>
/// A control group for one worker: the kernel counts all of its memory and its threads together, and ends it at the limit. There is one
/// where this program's own group lies in a group that was delegated to it, has the controllers memory and pids, and holds no process
/// itself: for systemd, <c>Delegate=memory pids</c> with <c>DelegateSubgroup=</c>.
/// </summary>
/// <remarks>cgroups(7), Documentation/admin-guide/cgroup-v2.rst of the kernel; systemd.resource-control(5).</remarks>
internal sealed class ControlGroup : IDisposable
{
    private static readonly Lazy<string?> Found = new(() => Delegated("/proc/self", IsMarked));
    private static int last;
    private readonly string folder;

    private ControlGroup(string folder) => this.folder = folder;

    /// <summary>The delegated group, or null.</summary>
    public static string? Parent => Found.Value;

    /// <summary>Whether the kernel ended a process of the group because its memory was used up.</summary>
    public bool RanOut
    {
        get
        {
            try
            {
                return File.ReadLines(Path.Combine(folder, "memory.events"))
                    .Any(line => line.StartsWith("oom_kill ", StringComparison.Ordinal) && line != "oom_kill 0");
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                return false;
            }
        }
    }

    /// <summary>Puts a process into a group of its own.</summary>
    /// <param name="parent">The delegated group.</param>
    /// <param name="process">The process.</param>
    /// <param name="memory">Bytes, all kinds of memory together.</param>
    /// <param name="threads">The most threads.</param>
    /// <returns>Null where the kernel refuses a step; the host's watch is there in any case.</returns>
    public static ControlGroup? Take(string parent, int process, long memory, long threads)
    {
        string name = string.Create(CultureInfo.InvariantCulture, $"recipes-{Environment.ProcessId}-{Interlocked.Increment(ref last)}");
        var group = new ControlGroup(Path.Combine(parent, name));
        try
        {
            Directory.CreateDirectory(group.folder);
            group.Write("memory.max", memory);
            group.Write("pids.max", threads);
            group.Write("cgroup.procs", process);
            return group;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            group.Dispose();
            return null;
        }
    }

    /// <summary>Removes the group, which must be empty by now.</summary>
    public void Dispose()
    {
        try
        {
            Directory.Delete(folder);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // The kernel is still freeing the process; an empty group takes no memory, and goes with the one that it lies in.
        }
    }

    /// <summary>Looks for the delegated group of a process, and switches its controllers on.</summary>
    /// <param name="process">Its folder in /proc.</param>
    /// <param name="isMarked">Whether a group is marked as delegated.</param>
    internal static string? Delegated(string process, Func<string, bool> isMarked)
    {
        try
        {
            // proc_pid_cgroup(5) and proc_pid_mounts(5).
            string? own = File.ReadLines(Path.Combine(process, "cgroup")).FirstOrDefault(line => line.StartsWith("0::/", StringComparison.Ordinal))?[3..];
            string? root = own is null or "/" ? null
                : File.ReadLines(Path.Combine(process, "mounts")).Select(line => line.Split(' ')).FirstOrDefault(parts => parts is [_, _, "cgroup2", ..])?[1];
            if (root is null)
            {
                return null;
            }

            string parent = Path.GetDirectoryName(root + own)!;
            string[] has = File.ReadAllText(Path.Combine(parent, "cgroup.controllers")).Split((char[])[' ', '\n'], StringSplitOptions.RemoveEmptyEntries);
            if (parent == root || !isMarked(parent) || !has.Contains("memory") || !has.Contains("pids"))
            {
                return null;
            }

            // Refused where the group itself holds processes.
            File.WriteAllText(Path.Combine(parent, "cgroup.subtree_control"), "+memory +pids");
            return parent;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    private void Write(string file, long value) => File.WriteAllText(Path.Combine(folder, file), value.ToString(CultureInfo.InvariantCulture));

    // As systemd marks what it delegates.
    private static unsafe bool IsMarked(string folder)
    {
        byte mark = 0;
        return (Libc.Attribute(folder, "user.delegate", &mark, 1) == 1 || Libc.Attribute(folder, "trusted.delegate", &mark, 1) == 1) && mark == (byte)'1';
    }
}
