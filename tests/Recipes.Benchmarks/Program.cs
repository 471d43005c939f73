// In this process: the benchmarks need the built worker beside them, and one build is one truth. DOTNET_PROCESSOR_COUNT=1 measures one thread.
using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Jobs;
using BenchmarkDotNet.Running;
using BenchmarkDotNet.Toolchains.InProcess.Emit;

var job = Job.Default.WithToolchain(InProcessEmitToolchain.Instance).WithWarmupCount(2).WithIterationCount(7).WithInvocationCount(1).WithUnrollFactor(1)
    .WithId($"{Environment.ProcessorCount} threads");
BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args, DefaultConfig.Instance.AddJob(job).WithOptions(ConfigOptions.JoinSummary));
