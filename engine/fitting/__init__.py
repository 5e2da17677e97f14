"""What a fitter settles beyond the carries: one section of the result document for each part of the job."""
