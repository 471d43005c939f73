using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary>What a confined process may open, enforced by the kernel's Landlock module at the newest version it has.</summary>
/// <remarks>
/// landlock(7); <c>include/uapi/linux/landlock.h</c>. Version 1 confines files, 2 adds moving between folders, 3 truncation,
/// 4 TCP, 5 device control, 6 abstract sockets and signals. Later versions change how a domain is applied, not what it holds back.
/// </remarks>
internal static unsafe class Landlock
{
    private const int CreateRuleset = 444, AddRule = 445, RestrictSelf = 446;
    private const nint AskVersion = 1, RuleOfPath = 1;
    private const ulong Execute = 1, WriteFile = 1 << 1, ReadFile = 1 << 2, ReadFolder = 1 << 3;
    private const ulong BindAndConnectTcp = 3, AbstractSocketsAndSignals = 3;

    /// <summary>The kernel's version, or 0 where Landlock is missing or switched off.</summary>
    public static int Version
    {
        get
        {
            nint version = OperatingSystem.IsLinux() ? Libc.Call(CreateRuleset, 0, 0, AskVersion) : -1;
            return version > 0 ? (int)version : 0;
        }
    }

    /// <summary>The number of the call that applies a ruleset to the calling thread.</summary>
    public static nint RestrictSelfNumber => RestrictSelf;

    /// <summary>Makes a ruleset for a worker that starts from the given folders; the caller closes it.</summary>
    /// <returns>A descriptor, or -1 where the kernel has no Landlock.</returns>
    public static int RulesFor(string runtimeFolder, string programFolder)
    {
        int version = Version;
        if (version == 0)
        {
            return -1;
        }

        var attribute = stackalloc ulong[3];
        attribute[0] = (1UL << (version switch { 1 => 13, 2 => 14, 3 or 4 => 15, _ => 16 })) - 1;
        attribute[1] = version >= 4 ? BindAndConnectTcp : 0;
        attribute[2] = version >= 6 ? AbstractSocketsAndSignals : 0;
        // Older kernels take a shorter structure.
        int size = version >= 6 ? 24 : version >= 4 ? 16 : 8;
        int rules = (int)Libc.Checked(Libc.Call(CreateRuleset, (nint)attribute, size), "landlock_create_ruleset");
        try
        {
            const ulong read = ReadFile | ReadFolder, run = read | Execute;
            Permit(rules, runtimeFolder, run);
            Permit(rules, programFolder, run);
            foreach (string folder in LibraryFolders)
            {
                Permit(rules, folder, run);
            }

            Permit(rules, "/etc/ld.so.cache", ReadFile);
            Permit(rules, "/etc/localtime", ReadFile);
            // The runtime reads its own limits and processors there. A rule for /proc/self would hold the host's folder, not the worker's.
            Permit(rules, "/proc", read);
            Permit(rules, "/sys/fs/cgroup", read);
            Permit(rules, "/sys/devices/system", read);
            Permit(rules, "/dev/urandom", ReadFile);
            Permit(rules, "/dev/null", ReadFile | WriteFile);
        }
        catch
        {
            _ = Libc.Close(rules);
            throw;
        }

        return rules;
    }

    // The C library and its kind. Debian's layout names the processor; others keep everything in lib or lib64.
    private static IEnumerable<string> LibraryFolders
    {
        get
        {
            string triplet = RuntimeInformation.ProcessArchitecture == Architecture.Arm64 ? "aarch64-linux-gnu" : "x86_64-linux-gnu";
            yield return "/lib64";
            yield return "/usr/lib64";
            bool perProcessor = Directory.Exists($"/usr/lib/{triplet}");
            yield return perProcessor ? $"/lib/{triplet}" : "/lib";
            yield return perProcessor ? $"/usr/lib/{triplet}" : "/usr/lib";
            if (RuntimeInformation.ProcessArchitecture == Architecture.Arm64)
            {
                // The loader itself lies there.
                yield return "/lib/ld-linux-aarch64.so.1";
            }
        }
    }

    // A path that isn't there needs no rule.
    private static void Permit(int rules, string path, ulong rights)
    {
        int target = Libc.Open(path, Libc.OpenPath | Libc.OpenCloseOnExec);
        if (target < 0)
        {
            return;
        }

        // struct landlock_path_beneath_attr is packed: rights, then the descriptor.
        byte* rule = stackalloc byte[12];
        *(ulong*)rule = Directory.Exists(path) ? rights : rights & ~ReadFolder;
        *(int*)(rule + 8) = target;
        nint result = Libc.Call(AddRule, rules, RuleOfPath, (nint)rule, 0);
        var failure = result == 0 ? null : Libc.Failed($"landlock_add_rule for {path}");
        _ = Libc.Close(target);
        if (failure is not null)
        {
            throw failure;
        }
    }
}
