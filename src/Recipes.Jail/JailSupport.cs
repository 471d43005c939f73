using System.Runtime.InteropServices;

namespace Recipes.Jail;

/// <summary>One layer of the jail on this machine.</summary>
/// <param name="Name">What it is.</param>
/// <param name="Stops">What it stops.</param>
/// <param name="Enforced">Whether the machine enforces it.</param>
/// <param name="Required">Whether the machine counts as unable to confine without it.</param>
/// <param name="Detail">Its version, or what is missing.</param>
/// <param name="Advice">What to do where it is missing; empty otherwise.</param>
public sealed record JailLayer(string Name, string Stops, bool Enforced, bool Required, string Detail, string Advice);

/// <summary>What this machine enforces.</summary>
public static unsafe class JailSupport
{
    private static readonly Lazy<IReadOnlyList<JailLayer>> Found = new(Look);

    /// <summary>All layers, the required ones first.</summary>
    public static IReadOnlyList<JailLayer> Layers => Found.Value;

    /// <summary>Whether workers are confined here.</summary>
    public static bool CanConfine => Layers.All(layer => layer.Enforced || !layer.Required);

    /// <summary>The control group that was delegated to this program, for a group of each worker's own; null where none was.</summary>
    public static string? DelegatedGroup => OperatingSystem.IsLinux() ? ControlGroup.Parent : null;

    private static List<JailLayer> Look()
    {
        bool linux = OperatingSystem.IsLinux() && RuntimeInformation.ProcessArchitecture is Architecture.X64 or Architecture.Arm64;
        string system = linux ? "" : $"{RuntimeInformation.OSDescription} on {RuntimeInformation.ProcessArchitecture} isn't supported";
        const string useLinux = "Use Linux on x64 or arm64 to run recipes and files from others.";
        bool filter = linux && FiltersKill();
        bool memory = linux && SealsMemory();
        bool spawn = linux && Spawns();
        int landlock = linux ? Landlock.Version : 0;
        string? group = DelegatedGroup;
        return
        [
            new("system-call filter", "files, network, other processes and the kernel's rarer parts", filter, true,
                filter ? "seccomp, three stages" : linux ? "seccomp is missing" : system,
                filter ? "" : linux ? "Use a kernel with CONFIG_SECCOMP_FILTER; in a container, permit the seccomp system call." : useLinux),
            new("sealed memory", "a worker that resizes or rewrites what the host reads", memory, true,
                memory ? "memfd with seals" : linux ? "memfd_create is missing" : system,
                memory ? "" : linux ? "Use Linux 3.17 or newer; in a container, permit memfd_create." : useLinux),
            new("confined start", "inherited files and signals", spawn, true,
                spawn ? "posix_spawn from a confined thread" : linux ? "the C library can't close inherited files at the start" : system,
                spawn ? "" : linux ? "Use a system with the GNU C library 2.34 or newer." : useLinux),
            new("Landlock", "files, TCP, abstract sockets and signals, even while a worker starts", landlock > 0, false,
                landlock > 0 ? $"version {landlock}: {(landlock >= 6 ? "files, TCP, sockets and signals" : landlock >= 4 ? "files and TCP" : "files")}"
                : linux ? "the kernel has no Landlock, or it is switched off" : system,
                landlock > 0 ? ""
                : linux ? "Use Linux 5.13 or newer with 'landlock' among its security modules. Without it the system-call filter alone keeps files closed."
                : useLinux),
            new("limits", "endless memory and processor time", linux, false,
                linux ? "rlimits, and the host's watch" : "the host's watch alone", linux ? "" : useLinux),
            new("control group", "too much memory or too many threads between two looks of the host", group is not null, false,
                group is not null ? $"a group for each worker in {group}" : linux ? "none was delegated to this program; the host looks every 20 ms" : system,
                group is not null ? "" : linux ? "Run it in a systemd unit with Delegate=memory pids and DelegateSubgroup=recipes to have one." : useLinux),
        ];
    }

    private static bool FiltersKill()
    {
        uint kill = SeccompFilter.Kill;
        return Libc.Call(FilterProgram.SeccompNumber, FilterProgram.GetActionAvailable, 0, (nint)(&kill)) == 0;
    }

    private static bool SealsMemory()
    {
        try
        {
            using var memory = SharedMemory.ForAnswer(1);
            return true;
        }
        catch (JailException)
        {
            return false;
        }
    }

    private static bool Spawns() =>
        NativeLibrary.TryLoad("libc", typeof(JailSupport).Assembly, null, out nint library)
        && NativeLibrary.TryGetExport(library, "posix_spawn_file_actions_addclosefrom_np", out _);
}
