namespace Recipes.Jail.Tests;

/// <summary>Seals as fcntl(2), "File Sealing", tells them: F_SEAL_WRITE fails while a writable mapping exists, and none is made after it.</summary>
public sealed class SharedMemoryTests
{
    [Fact]
    public void It_is_sealed_once_nobody_has_it_mapped_to_write_and_then_for_good()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "needs memfd_create");
        using var memory = SharedMemory.ForAnswer(1 << 16);
        using (var written = MappedMemory.ForWriting(memory.Descriptor, memory.Length))
        {
            written.Stream.Write([1, 2, 3]);
            memory.TrySeal().ShouldBeFalse();
        }

        memory.TrySeal().ShouldBeTrue();
        Should.Throw<JailException>(() => MappedMemory.ForWriting(memory.Descriptor, memory.Length));
        memory.Read(3, stream => new[] { stream.ReadByte(), stream.ReadByte(), stream.ReadByte(), stream.ReadByte() }).ShouldBe([1, 2, 3, -1]);
    }

    [Fact]
    public void What_a_request_holds_cannot_be_changed()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "needs memfd_create");
        using var memory = SharedMemory.Holding(stream => stream.Write([4, 5]));
        memory.Length.ShouldBe(2);
        Should.Throw<JailException>(() => MappedMemory.ForWriting(memory.Descriptor, memory.Length));
        memory.Read(2, stream => stream.ReadByte()).ShouldBe(4);
    }
}
