using Recipes.Files;
using Recipes.Hosting.Tests.Work;

namespace Recipes.Hosting.Tests;

/// <summary>One program at a time holds a file, and what a crash left holds nobody up for good.</summary>
public sealed class HeldFileTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-held-").FullName;

    private string FilePath => Path.Combine(folder, "sail.lock");

    private string Lock => Path.Combine(folder, ".sail.lock.lock");

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void One_holds_it_and_the_other_does_not()
    {
        HeldFile.TryHold(FilePath, out var hold).ShouldBeTrue();
        File.Exists(Lock).ShouldBeTrue();
        HeldFile.TryHold(FilePath, out var second).ShouldBeFalse();
        second.ShouldBeNull();
        File.Exists(Lock).ShouldBeTrue();
        hold.ShouldNotBeNull().Dispose();
        HeldFile.TryHold(FilePath, out var third).ShouldBeTrue();
        third.ShouldNotBeNull().Dispose();
        Directory.EnumerateFileSystemEntries(folder).ShouldBeEmpty();
    }

    [Fact]
    public void Many_that_want_it_at_once_never_share_it_and_leave_nothing()
    {
        int holding = 0, held = 0, shared = 0;
        // More at once than most machines have cores; each turn asks anew, so that asking meets taking and letting go at every point.
        Parallel.For(0, 8, new ParallelOptions { MaxDegreeOfParallelism = 8 }, _ =>
        {
            for (int turn = 0; turn < 500; turn++)
            {
                if (HeldFile.TryHold(FilePath, out var hold))
                {
                    shared += Interlocked.Increment(ref holding) > 1 ? 1 : 0;
                    held++;
                    Interlocked.Decrement(ref holding);
                    hold.ShouldNotBeNull().Dispose();
                }
            }
        });
        shared.ShouldBe(0);
        held.ShouldBeGreaterThan(0);
        Directory.EnumerateFileSystemEntries(folder).ShouldBeEmpty();
    }

    [Fact]
    public void What_a_crash_on_this_machine_left_is_taken_over_at_once()
    {
        File.WriteAllText(Lock, Environment.MachineName);
        HeldFile.TryHold(FilePath, out var hold).ShouldBeTrue();
        hold.ShouldNotBeNull().Dispose();
        Directory.EnumerateFileSystemEntries(folder).ShouldBeEmpty();
    }

    [Theory]
    [InlineData("another-machine")]
    [InlineData("")]
    public void A_lock_of_another_machine_counts_for_its_time_though_the_system_s_lock_is_free(string owner)
    {
        // A share that passes no locks on looks like this.
        File.WriteAllText(Lock, owner);
        HeldFile.TryHold(FilePath, out _).ShouldBeFalse();
        File.ReadAllText(Lock).ShouldBe(owner);
        File.SetLastWriteTimeUtc(Lock, DateTime.UtcNow - HeldFile.Longest - TimeSpan.FromHours(1));
        HeldFile.TryHold(FilePath, out var hold).ShouldBeTrue();
        hold.ShouldNotBeNull().Dispose();
        Directory.EnumerateFileSystemEntries(folder).ShouldBeEmpty();
    }

    [Fact]
    public void While_one_takes_away_what_a_crash_left_nobody_else_does()
    {
        // Whoever takes it away holds it meanwhile, as any file is held; and a crash in the middle of that is one like any other.
        File.WriteAllText(Lock, Environment.MachineName);
        HeldFile.TryHold(Lock, out var taking).ShouldBeTrue();
        HeldFile.TryHold(FilePath, out _).ShouldBeFalse();
        File.ReadAllText(Lock).ShouldBe(Environment.MachineName);
        taking.ShouldNotBeNull().Dispose();
        File.WriteAllText(Path.Combine(folder, "..sail.lock.lock.lock"), Environment.MachineName);
        HeldFile.TryHold(FilePath, out var hold).ShouldBeTrue();
        hold.ShouldNotBeNull().Dispose();
        Directory.EnumerateFileSystemEntries(folder).ShouldBeEmpty();
    }

    [Fact]
    public async Task Many_that_find_what_a_crash_left_never_share_it_either()
    {
        const int many = 6;
        int holding = 0, shared = 0;
        using var turns = new Barrier(many, _ => File.WriteAllText(Lock, Environment.MachineName));
        await Task.WhenAll(Enumerable.Range(0, many).Select(_ => Task.Factory.StartNew(() =>
        {
            for (int turn = 0; turn < 200; turn++)
            {
                turns.SignalAndWait();
                if (HeldFile.TryHold(FilePath, out var hold))
                {
                    shared += Interlocked.Increment(ref holding) > 1 ? 1 : 0;
                    Thread.SpinWait(20_000);
                    Interlocked.Decrement(ref holding);
                    hold?.Dispose();
                }
            }
        }, TestContext.Current.CancellationToken, TaskCreationOptions.LongRunning, TaskScheduler.Default)));
        shared.ShouldBe(0);
        HeldFile.TryHold(FilePath, out var last).ShouldBeTrue();
        last.ShouldNotBeNull().Dispose();
        Directory.EnumerateFileSystemEntries(folder).ShouldBeEmpty();
    }

    [Fact]
    public async Task A_program_that_dies_lets_go_and_until_then_an_old_lock_counts_too()
    {
        using var child = Child.Start("hold", FilePath);
        (await child.StandardOutput.ReadLineAsync(TestContext.Current.CancellationToken)).ShouldBe("held");
        File.SetLastWriteTimeUtc(Lock, DateTime.UtcNow - HeldFile.Longest - TimeSpan.FromHours(1));
        HeldFile.TryHold(FilePath, out _).ShouldBeFalse();
        child.Kill();
        await child.WaitForExitAsync(TestContext.Current.CancellationToken);
        File.Exists(Lock).ShouldBeTrue();
        HeldFile.TryHold(FilePath, out var hold).ShouldBeTrue();
        hold.ShouldNotBeNull().Dispose();
    }

    [Fact]
    public async Task Another_user_s_lock_counts_too()
    {
        Child.Need(Child.IsRoot && File.Exists("/usr/bin/setpriv"), "Needs root and setpriv, to run as a user without rights.");
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(folder, (UnixFileMode)0b111_111_111);
        }

        HeldFile.TryHold(FilePath, out var hold).ShouldBeTrue();
        (int exit, string output) = await Child.RunAsNobody("try-hold", FilePath);
        Child.Need(exit == 0, "A user without rights can't run the tests' output here.");
        output.ShouldBe("False" + Environment.NewLine);
        hold.ShouldNotBeNull().Dispose();
        (await Child.RunAsNobody("try-hold", FilePath)).Output.ShouldBe("True" + Environment.NewLine);
    }

    [Fact]
    public void Where_there_is_no_folder_writing_will_tell()
    {
        HeldFile.TryHold(Path.Combine(folder, "none", "sail.lock"), out var hold).ShouldBeTrue();
        hold.ShouldBeNull();
    }
}
