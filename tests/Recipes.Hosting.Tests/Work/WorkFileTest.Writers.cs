using Microsoft.Data.Sqlite;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tests.Work;

/// <summary>Two writers, killed writers, and places where nothing can be written.</summary>
public sealed partial class WorkFileTest
{
    [Fact]
    public void Of_two_writers_one_wins_and_the_other_is_told()
    {
        WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0)).Dispose();
        using var first = Sample.Reopen(FilePath, forWriting: true);
        using var second = Sample.Reopen(FilePath, forWriting: true);
        first.Commit("a", 0, Sample.Record(), Sample.Noise(1)).ShouldBe(1);
        Stop(() => second.Commit("a", 0, Sample.Record(), Sample.Noise(2)), Codes.WorkFileInUse);
        second.Line("a").Head.ShouldBe(1);
        second.Read("a", 1).ShouldLookLike(Sample.Noise(1));
        second.Commit("a", 1, Sample.Record(), Sample.Noise(2)).ShouldBe(2);
        first.Read("a", 2).ShouldLookLike(Sample.Noise(2));
    }

    [Fact]
    public async Task A_writer_in_another_process_is_told_while_one_writes()
    {
        Simple(FilePath);
        using (var connection = new SqliteConnection($"Data Source={FilePath};Pooling=False"))
        {
            connection.Open();
            using var command = connection.CreateCommand();
            command.CommandText = "BEGIN IMMEDIATE";
            command.ExecuteNonQuery();
            (await Child.Run("commit", FilePath)).Exit.ShouldBe((int)ExitCode.Conflict);
            // Who only reads isn't held up.
            (await Child.Run("history", FilePath)).ShouldBe((0, "head 2" + Environment.NewLine));
        }

        (await Child.Run("commit", FilePath)).ShouldBe((0, "step 3" + Environment.NewLine));
    }

    [Fact]
    public void Of_two_that_create_it_one_wins_and_its_file_stays()
    {
        using var first = WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0));
        Stop(() => WorkFile.Create(FilePath, Sample.Original, Sample.Noise(1)), Codes.WorkFileInUse);
        first.Read("a", 0).ShouldLookLike(Sample.Noise(0));
        using var again = Sample.Reopen(FilePath);
        again.Read("a", 0).ShouldLookLike(Sample.Noise(0));
        Directory.GetFileSystemEntries(folder).ShouldBe([FilePath]);
    }

    [Fact]
    public void A_failed_commit_leaves_the_file_and_the_object_usable()
    {
        Simple(FilePath);
        byte[] before = File.ReadAllBytes(FilePath);
        using var work = Sample.Reopen(FilePath, forWriting: true);
        Stop(() => work.Commit("a", 2, Sample.Record() with { ReportJson = new string(' ', 2_000_000) }, Sample.Noise(5)), Codes.OutputUnwritable);
        Stop(() => work.Commit("a", 1, Sample.Record(), Sample.Noise(5)), Codes.WorkFileInUse);
        File.ReadAllBytes(FilePath).ShouldBe(before);
        work.Commit("a", 2, Sample.Record(), Sample.Noise(5)).ShouldBe(3);
        using var again = Sample.Reopen(FilePath);
        again.Read("a", 3).ShouldLookLike(Sample.Noise(5));
    }

    [Fact]
    public async Task Killed_at_any_moment_it_opens_as_before_or_after()
    {
        WorkFile.Create(FilePath, Sample.Original, Sample.Noise(0)).Dispose();
        var random = new Random(50);
        int journals = 0;
        for (int round = 0; round < 50; round++)
        {
            using (var child = Child.Start("loop", FilePath, $"{round}"))
            {
                (await child.StandardOutput.ReadLineAsync(TestContext.Current.CancellationToken)).ShouldBe("ready");
                await Task.Delay(random.Next(120), TestContext.Current.CancellationToken);
                child.Kill();
                await child.WaitForExitAsync(TestContext.Current.CancellationToken);
            }

            journals += File.Exists(FilePath + "-journal") ? 1 : 0;
            // Reading comes first: it must work where a journal was left behind.
            using var work = Sample.Reopen(FilePath);
            var line = work.Line("a");
            line.Steps.Select(step => step.Number).ShouldBe(Enumerable.Range(1, line.Steps.Length));
            line.Steps.Count(step => step.State == StepState.Done && step.Number > line.Head).ShouldBe(0);
            // Step n is noise seeded with n, in the child too.
            work.Read("a", line.Head).ShouldLookLike(Sample.Noise(line.Head));
            if (line.Steps.Length > 0)
            {
                work.Read("a", line.Steps.Length).ShouldLookLike(Sample.Noise(line.Steps.Length));
            }
        }

        using (var work = Sample.Reopen(FilePath))
        {
            work.Line("a").Steps.Length.ShouldBeGreaterThan(10);
        }

        TestContext.Current.SendDiagnosticMessage($"{journals} of 50 left a journal");
    }

    [Fact]
    public async Task In_a_read_only_folder_history_works_and_writing_is_refused()
    {
        Child.Need(Child.IsRoot && File.Exists("/usr/bin/setpriv"), "Needs root and setpriv, to run as a user without rights.");
        Simple(FilePath);
        (int exit, string output) = await Child.RunAsNobody("history", FilePath);
        Child.Need(Enum.IsDefined((ExitCode)exit) && exit != 1, "A user without rights can't run the tests' output here.");
        (exit, output).ShouldBe((0, "head 2" + Environment.NewLine));
        (await Child.RunAsNobody("commit", FilePath)).ShouldSatisfyAllConditions(
            run => run.Exit.ShouldBe((int)ExitCode.Output),
            run => run.Output.ShouldStartWith("R8002"));
        (await Child.RunAsNobody("create", Path.Combine(folder, "other.work"))).Exit.ShouldBe((int)ExitCode.Output);
        // The file may be written, but not its folder: no journal can be made.
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(FilePath, (UnixFileMode)0b110_110_110);
        }

        (await Child.RunAsNobody("commit", FilePath)).Exit.ShouldBe((int)ExitCode.Output);
        if (!OperatingSystem.IsWindows())
        {
            File.SetUnixFileMode(FilePath, UnixFileMode.UserRead | UnixFileMode.UserWrite);
        }

        (await Child.RunAsNobody("history", FilePath)).Exit.ShouldBe((int)ExitCode.Art);
        using var work = Sample.Reopen(FilePath);
        work.Line("a").Head.ShouldBe(2);
    }

    [Fact]
    public async Task On_a_full_disk_nothing_changes()
    {
        Child.Need(Child.IsRoot && OperatingSystem.IsLinux(), "Needs root, to mount a small disk.");
        string disk = Path.Combine(folder, "disk");
        Directory.CreateDirectory(disk);
        var mount = await Child.RunProgram("mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", disk);
        Child.Need(mount.Exit == 0, $"A small disk can't be mounted here: {mount.Output}");
        try
        {
            string path = Path.Combine(disk, "art.png.work");
            Stop(() => WorkFile.Create(path, Sample.Original, Sample.Noise(0, 1500, 1500)), Codes.OutputUnwritable);
            Directory.GetFileSystemEntries(disk).ShouldBeEmpty();
            WorkFile.Create(path, Sample.Original, Sample.Noise(0)).Dispose();
            var fill = await Child.Run("fill", path);
            fill.Exit.ShouldBe((int)ExitCode.Output, fill.Output);
            fill.Output.ShouldContain("disk is full");
            using var work = Sample.Reopen(path);
            var line = work.Line("a");
            line.Head.ShouldBeGreaterThan(3);
            line.Steps.Length.ShouldBe(line.Head);
            work.Read("a", line.Head).ShouldLookLike(Sample.Noise(line.Head));
        }
        finally
        {
            await Child.RunProgram("umount", disk);
        }
    }
}
