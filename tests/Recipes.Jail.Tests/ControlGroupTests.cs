using System.Globalization;

namespace Recipes.Jail.Tests;

/// <summary>
/// Where a control group counts as delegated, and what is written into a worker's own: on folders that look like the kernel's, since a
/// test can't have a group delegated to it.
/// </summary>
public sealed class ControlGroupTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("groups-").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void A_delegated_group_beside_ones_own_is_found_and_its_controllers_switched_on()
    {
        Lay("0::/shop/recipes/own\n", "cpu memory pids\n");
        ControlGroup.Delegated(folder, path => path == At("shop/recipes")).ShouldBe(At("shop/recipes"));
        File.ReadAllText(At("shop/recipes/cgroup.subtree_control")).ShouldBe("+memory +pids");
    }

    [Theory]
    // Not marked; a controller missing; in the kernel's root group, or just below it; no second version of groups.
    [InlineData("0::/shop/recipes/own\n", "memory pids\n", false)]
    [InlineData("0::/shop/recipes/own\n", "cpu pids\n", true)]
    [InlineData("0::/shop/recipes/own\n", "memory_recursiveprot pids\n", true)]
    [InlineData("0::/\n", "memory pids\n", true)]
    [InlineData("0::/shop\n", "memory pids\n", true)]
    [InlineData("4:memory:/shop\n", "memory pids\n", true)]
    public void No_other_group_is_touched(string own, string controllers, bool marked)
    {
        Lay(own, controllers);
        ControlGroup.Delegated(folder, _ => marked).ShouldBeNull();
        Directory.GetFiles(folder, "cgroup.subtree_control", SearchOption.AllDirectories).ShouldBeEmpty();
    }

    [Fact]
    public void A_worker_is_bound_in_a_group_of_its_own_which_goes_with_it()
    {
        using (var group = ControlGroup.Take(folder, 4711, 1 << 30, 512).ShouldNotBeNull())
        {
            string own = Directory.GetDirectories(folder).ShouldHaveSingleItem();
            new[] { "memory.max", "pids.max", "cgroup.procs" }.Select(file => File.ReadAllText(Path.Combine(own, file)))
                .ShouldBe(["1073741824", "512", "4711"]);
            group.RanOut.ShouldBeFalse();
            File.WriteAllText(Path.Combine(own, "memory.events"), "low 0\nhigh 0\nmax 12\noom 1\noom_kill 0\n");
            group.RanOut.ShouldBeFalse();
            File.WriteAllText(Path.Combine(own, "memory.events"), "low 0\nhigh 0\nmax 12\noom 1\noom_kill 1\n");
            group.RanOut.ShouldBeTrue();
            // The kernel's files go with their group.
            Array.ForEach(Directory.GetFiles(own), File.Delete);
        }

        Directory.GetDirectories(folder).ShouldBeEmpty();
    }

    [Fact]
    public void Where_the_kernel_refuses_there_is_none() => ControlGroup.Take("/proc/self/none", 4711, 1 << 30, 512).ShouldBeNull();

    [Fact]
    public void A_confined_process_goes_into_the_group_that_it_is_bound_by()
    {
        Assert.SkipUnless(JailSupport.CanConfine, "needs a system that can confine");
        using (var process = JailedProcess.Start("/bin/sleep", ["600"], [], "/", "/"))
        {
            process.Bound(folder, 1 << 30, 512);
            string own = Directory.GetDirectories(folder).ShouldHaveSingleItem();
            File.ReadAllText(Path.Combine(own, "cgroup.procs")).ShouldBe(process.Id.ToString(CultureInfo.InvariantCulture));
            process.RanOutOfMemory.ShouldBeFalse();
            File.WriteAllText(Path.Combine(own, "memory.events"), "oom_kill 1\n");
            process.RanOutOfMemory.ShouldBeTrue();
            Array.ForEach(Directory.GetFiles(own), File.Delete);
        }

        Directory.GetDirectories(folder).ShouldBeEmpty();
    }

    [Fact]
    public void The_doctor_says_whether_there_is_one()
    {
        var told = JailSupport.Layers.Single(layer => layer.Name == "control group");
        (told.Enforced, told.Required).ShouldBe((ControlGroup.Parent is not null, false));
        told.Detail.ShouldContain(ControlGroup.Parent ?? (OperatingSystem.IsLinux() ? "none was delegated" : "isn't supported"));
        told.Advice.Contains("Delegate=memory pids", StringComparison.Ordinal).ShouldBe(OperatingSystem.IsLinux() && !told.Enforced);
    }

    private string At(string path) => Path.Combine(folder, "fs", path);

    // A process's folder of /proc, and the file system of groups.
    private void Lay(string own, string controllers)
    {
        Directory.CreateDirectory(At("shop/recipes/own"));
        File.WriteAllText(Path.Combine(folder, "cgroup"), own);
        File.WriteAllText(Path.Combine(folder, "mounts"), $"tmpfs /run tmpfs rw 0 0\ncgroup2 {Path.Combine(folder, "fs")} cgroup2 rw 0 0\n");
        File.WriteAllText(At("cgroup.controllers"), controllers);
        File.WriteAllText(At("shop/recipes/cgroup.controllers"), controllers);
    }
}
