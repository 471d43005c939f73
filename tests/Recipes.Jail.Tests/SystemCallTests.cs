using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.RegularExpressions;

namespace Recipes.Jail.Tests;

/// <summary>The table of system call numbers against the kernel's own headers, and the policies against the numbers.</summary>
public sealed partial class SystemCallTests
{
    [Fact]
    public void Numbers_are_those_of_the_kernel_headers()
    {
        // Linux user-space API headers, as Debian's linux-libc-dev installs them; arm64 uses the generic table.
        const string x64 = "/usr/include/x86_64-linux-gnu/asm/unistd_64.h", generic = "/usr/include/asm-generic/unistd.h";
        Assert.SkipUnless(File.Exists(x64) && File.Exists(generic), "needs Debian's linux-libc-dev on x64");
        var onX64 = Read(x64);
        var onArm64 = Read(generic);
        // The generic table has one call for both names.
        onArm64["newfstatat"] = onArm64["fstatat"];
        foreach (var call in SystemCall.All)
        {
            onX64.TryGetValue(call.Name, out int there).ShouldBeTrue(call.Name);
            call.X64.ShouldBe(there, call.Name);
            call.Arm64.ShouldBe(onArm64.TryGetValue(call.Name, out int number) ? number : null, call.Name);
        }
    }

    [Theory]
    [InlineData(Architecture.X64, 0xC000003Eu)]
    [InlineData(Architecture.Arm64, 0xC00000B7u)]
    public void Both_policies_decide_as_written_on_both_processors(Architecture architecture, uint audit)
    {
        var strict = Policy.Strict(architecture, 4711, loads: false);
        var coarse = Policy.Coarse(architecture);
        uint Strict(string name, params ulong[] arguments) => Bpf.Run(strict, audit, Number(name), arguments);
        uint Number(string name) => (uint)SystemCall.Named(name).On(architecture)!.Value;

        foreach (string name in (string[])["read", "write", "munmap", "exit_group", "rt_sigreturn"])
        {
            Strict(name).ShouldBe(SeccompFilter.Allow, name);
        }

        foreach (string name in (string[])["socket", "ptrace", "unshare", "mount", "bpf", "pidfd_open", "accept4", "shmget", "prctl", "setuid"])
        {
            Strict(name).ShouldBe(SeccompFilter.Kill, name);
        }

        Strict("openat").ShouldBe(SeccompFilter.Fail(13));
        Strict("clone3").ShouldBe(SeccompFilter.Fail(38));
        Strict("memfd_create").ShouldBe(SeccompFilter.Fail(1));
        Strict("sched_setscheduler").ShouldBe(SeccompFilter.Fail(1));
        Strict("tgkill", 4711, 4712, 34).ShouldBe(SeccompFilter.Allow);
        Strict("tgkill", 1, 1, 9).ShouldBe(SeccompFilter.Kill);
        Strict("prctl", 15).ShouldBe(SeccompFilter.Allow);
        Strict("prctl", 4, 1).ShouldBe(SeccompFilter.Kill);
        Strict("prlimit64", 0, 7, 0, 1234).ShouldBe(SeccompFilter.Allow);
        Strict("prlimit64", 0, 7, 1234, 0).ShouldBe(SeccompFilter.Kill);
        Strict("prlimit64", 0, 7, 1234UL << 32, 0).ShouldBe(SeccompFilter.Kill);
        Strict("prlimit64", 1, 7, 0, 0).ShouldBe(SeccompFilter.Kill);
        Strict("prlimit64", 1UL << 32, 7, 0, 0).ShouldBe(SeccompFilter.Kill);

        Bpf.Run(coarse, audit, Number("socket"), []).ShouldBe(SeccompFilter.Fail(1));
        Bpf.Run(coarse, audit, Number("openat"), []).ShouldBe(SeccompFilter.Allow);
        // Another processor's numbers, and numbers that no table has.
        Bpf.Run(strict, audit ^ 1, Number("read"), []).ShouldBe(SeccompFilter.Kill);
        Bpf.Run(coarse, audit ^ 1, Number("read"), []).ShouldBe(SeccompFilter.Kill);
        Bpf.Run(strict, audit, 100_000, []).ShouldBe(SeccompFilter.Kill);
        if (architecture == Architecture.X64)
        {
            Bpf.Run(coarse, audit, Number("read") | 0x4000_0000, []).ShouldBe(SeccompFilter.Kill);
        }
    }

    private static Dictionary<string, int> Read(string header) => Definition().Matches(File.ReadAllText(header))
        .ToDictionary(match => match.Groups[1].Value, match => int.Parse(match.Groups[2].Value, CultureInfo.InvariantCulture));

    // The generic header names calls with two sizes of a file position by a macro of their number.
    [GeneratedRegex(@"#define __NR(?:3264)?_(\w+)\s+(\d+)")]
    private static partial Regex Definition();
}
