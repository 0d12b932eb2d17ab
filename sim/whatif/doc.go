// Package whatif simulates one rig many times: with a quantity swept, or with
// everything that is not known exactly drawn within its tolerance.
//
//	study := whatif.Study{Rig: rig, Faults: network.Faults{seep}}
//	table, err := study.Sweep(ctx, whatif.Axis{Part: "accumulator", Field: "volume", Values: []float64{0.5e-3, 1e-3, 2e-3}})
//	table, err := study.Ensemble(ctx, whatif.Draws{Count: 1000, Seed: 1})
//	for _, i := range table.Influences(whatif.Rest) { … } // which unknown moves the rest most
//
// It exists beside a loop of one's own because of what such a loop gets wrong:
// rows are the same to the last bit whatever the number of cores and however the
// work is spread over machines, drawn rigs keep what physics asks of them (a
// switch that starts below where it stops), and a rig that cannot be, or whose
// pump never starts, is a row with a reason and no hole.
//
// # Many machines
//
// Each row follows from the seed, the count and its index alone, so a [Shard]
// computes every so-manieth row and [Merge] puts the shards' tables together,
// byte for byte what one machine would have written. Any batch scheduler will do.
// A Kubernetes indexed Job, with the shards on a shared volume:
//
//	apiVersion: batch/v1
//	kind: Job
//	metadata: { name: whatif }
//	spec:
//	  completions: 16
//	  parallelism: 16
//	  completionMode: Indexed
//	  template:
//	    spec:
//	      restartPolicy: OnFailure
//	      containers:
//	        - name: whatif
//	          image: whatif
//	          command: [sh, -c, "whatif -n 100000 -seed 1 -shard $JOB_COMPLETION_INDEX/16 -json > /out/$JOB_COMPLETION_INDEX.jsonl"]
//	          volumeMounts: [{ name: out, mountPath: /out }]
//	      volumes: [{ name: out, persistentVolumeClaim: { claimName: out } }]
//
// A Slurm array:
//
//	sbatch --array=0-15 --wrap 'whatif -n 100000 -seed 1 -shard $SLURM_ARRAY_TASK_ID/16 -json > $SLURM_ARRAY_TASK_ID.jsonl'
//
// and afterwards
//
//	whatif -merge *.jsonl -csv > all.csv
package whatif
